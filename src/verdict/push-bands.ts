import type { Mode } from "../modes/mode.js";
import type { Interval } from "../units.js";

/** A band in which the rotors push. */
export interface PushBand {
  readonly name: "once-per-turn" | "blade-pass";
  readonly order: number;
  readonly bandHz: Interval;
}

/**
 * The two bands in which rotors push hardest, from the once-per-turn band and the number of blades.
 *
 * @example pushBands([60, 70], 3)[1] // { name: "blade-pass", order: 3, bandHz: [180, 210] }
 */
export function pushBands(cruise: Interval, blades: number | null): PushBand[] {
  const once: PushBand = { name: "once-per-turn", order: 1, bandHz: cruise };
  if (blades === null || blades < 2) return [once];
  return [once, { name: "blade-pass", order: blades, bandHz: [blades * cruise[0], blades * cruise[1]] }];
}

/**
 * Distance of a mode from a band as a share of the mode's frequency, by the worse end of its interval; 0 inside.
 *
 * @example separationOf({ frequencyHz: 250, ci95Hz: [249, 251] }, [180, 210]) // 0.157 = 1 − 210 / 249
 */
export function separationOf(mode: Pick<Mode, "frequencyHz" | "ci95Hz">, [low, high]: Interval): number {
  if (mode.ci95Hz[0] > high) return 1 - high / mode.ci95Hz[0];
  if (mode.ci95Hz[1] < low) return low / mode.ci95Hz[1] - 1;
  return 0;
}

/** Rotor speed in cruise repeats from flight to flight to about this share: battery, air, wind (common practice, no source). */
const REPEATS_TO = 0.01;

/** Distance of a mode from a band, with what mode and band are uncertain by. */
export interface Gap {
  /** Share of the mode's frequency; 0 inside. */
  readonly value: number;
  readonly ci95: Interval;
}

/**
 * Separation of a mode from a band: the value from mode and band as measured, the interval from the mode's interval
 * and a band that may lie a hundredth wider or narrower on the next flight.
 *
 * @example gapOf({ frequencyHz: 250, ci95Hz: [250, 250] }, [180, 210]) // { value: 0.16, ci95: [0.152, 0.168] }
 */
export function gapOf({ frequencyHz, ci95Hz }: Pick<Mode, "frequencyHz" | "ci95Hz">, band: Interval): Gap {
  const at = (hz: number, widen: number): number =>
    separationOf({ frequencyHz: hz, ci95Hz: [hz, hz] }, [band[0] * (1 - widen), band[1] * (1 + widen)]);
  const ends = ci95Hz.flatMap((hz) => [at(hz, REPEATS_TO), at(hz, -REPEATS_TO)]);
  return { value: at(frequencyHz, 0), ci95: [Math.min(...ends), Math.max(...ends)] };
}

/** Blades that propellers of the trade have, tried when nobody says how many (common practice, no source). */
const USUAL_BLADES = [2, 3] as const;

/**
 * The blade-pass bands that may exist when the number of blades is not known.
 *
 * @example possiblePassBands([60, 70])[1].bandHz // [180, 210]
 */
export function possiblePassBands(cruise: Interval): PushBand[] {
  return USUAL_BLADES.map((blades) => ({
    name: "blade-pass",
    order: blades,
    bandHz: [blades * cruise[0], blades * cruise[1]],
  }));
}

/** Blades to reckon with: as known, else two, which most propellers of eight inch and up have (common practice, no source). */
export function bladesToReckonWith(blades: number | null): number {
  return blades ?? Math.min(...USUAL_BLADES);
}
