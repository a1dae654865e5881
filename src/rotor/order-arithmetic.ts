import type { Hertz } from "../units.js";

/**
 * Once-per-turn frequency of a speed in revolutions per minute.
 *
 * @example rpmToHz(6000) // 100
 */
export function rpmToHz(rpm: number): Hertz {
  return rpm / 60;
}

/**
 * Revolutions per minute of a once-per-turn frequency.
 *
 * @example hzToRpm(111) // 6660
 */
export function hzToRpm(hz: Hertz): number {
  return hz * 60;
}

/**
 * Blade-pass frequency: every blade passes a fixed point once per turn.
 *
 * @param rotorHz once-per-turn frequency, Hz
 * @param blades per propeller
 * @example bladePassHz(40, 7) // 280
 */
export function bladePassHz(rotorHz: Hertz, blades: number): Hertz {
  return rotorHz * blades;
}

/**
 * Mechanical from electrical speed of a synchronous motor. Motors are named by their magnet *poles*; the divisor is
 * half of that (the textbook form n = 120 f / p takes poles too).
 *
 * @param electrical speed of the field in any unit (Hz, rpm)
 * @param poles number of magnet poles, even, ≥ 2
 * @returns speed of the shaft, same unit
 * @throws {RangeError} if the poles are not a positive even number
 * @example mechanicalSpeed(42000, 14) // 6000
 */
export function mechanicalSpeed(electrical: number, poles: number): number {
  return electrical / polePairsOf(poles);
}

/**
 * Pole pairs from poles: 14 poles are 7 pairs.
 *
 * @throws {RangeError} if the poles are not a positive even number
 * @example polePairsOf(14) // 7
 */
export function polePairsOf(poles: number): number {
  if (!(poles >= 2) || poles % 2 !== 0) throw new RangeError(`poles come in pairs, got ${poles}`);
  return poles / 2;
}
