import type { Reason } from "../result.js";
import type { Hertz, Interval } from "../units.js";
import type { Measured } from "./measured.js";
import { pushBands, separationOf } from "./push-bands.js";
import { say, sayRange, unknown } from "./reason.js";

/**
 * Factor on rotor speed in cruise when mass is added: thrust goes as speed squared, so √((m + p) / m).
 *
 * @param massKg mass as flown, kg, > 0
 * @param payloadKg mass to come, kg, ≥ 0
 * @see e.g. W. Johnson, Helicopter Theory: thrust coefficient
 * @example loadedSpeedFactor(10, 4.4) // 1.2
 */
export function loadedSpeedFactor(massKg: number, payloadKg: number): number {
  return Math.sqrt((massKg + payloadKg) / massKg);
}

/**
 * Dunkerley's lower bound: 1 / f² = Σ 1 / fᵢ², each fᵢ the frequency with one of the masses alone.
 *
 * @param frequencies Hz, each > 0
 * @see W. T. Thomson, Theory of Vibration with Applications, section 12.2
 * @example dunkerley([1600, 1745]) // 1179.3
 */
export function dunkerley(frequencies: readonly Hertz[]): Hertz {
  return 1 / Math.sqrt(frequencies.reduce((sum, f) => sum + 1 / f ** 2, 0));
}

/**
 * Where a mode can go when mass is added, not knowing where it is fixed: not at all (the mass sits on a node), or,
 * with the whole payload moving like the whole craft, down to Dunkerley's bound f · √(m / (m + p)).
 *
 * The payload alone on the weightless structure has f · √(m / p), and Dunkerley's sum of the two is that bound.
 *
 * @returns `[lowest, highest]`, Hz
 * @example loadedMode(100, 10, 4.4) // [83.33, 100]
 */
export function loadedMode(frequencyHz: Hertz, massKg: number, payloadKg: number): Interval {
  if (payloadKg === 0) return [frequencyHz, frequencyHz];
  return [dunkerley([frequencyHz, frequencyHz * Math.sqrt(massKg / payloadKg)]), frequencyHz];
}

/**
 * The separations tested again for the loaded craft. A forecast, so it is never "marginal" or "loud": where a loaded
 * mode may come near a loaded band the answer is "unknown until flown with ballast", and the call of the flight that
 * was flown does not depend on it.
 */
export function payloadReasons(measured: Measured): Reason[] {
  const { craft, modes, rotor, limits } = measured;
  const cruise = measured.cruise?.bandHz ?? null;
  const { massKg, payloadKg } = craft;
  if (massKg === undefined || payloadKg === undefined || payloadKg === 0) return [];
  if (cruise === null) {
    return [
      unknown("payload-forecast", "Without the rotors' speed nothing can be forecast for the payload.", {
        required: false,
      }),
    ];
  }
  const factor = loadedSpeedFactor(massKg, payloadKg);
  const loaded: Interval = [cruise[0] * factor, cruise[1] * factor];
  const pairs = modes.modes
    .filter((mode) => mode.kind === "structure" || mode.kind === "unresolved")
    .flatMap((mode) => {
      const ci95Hz: Interval = [loadedMode(mode.ci95Hz[0], massKg, payloadKg)[0], mode.ci95Hz[1]];
      return pushBands(loaded, rotor.blades).map((band) => ({
        mode,
        band,
        ci95Hz,
        gap: separationOf({ frequencyHz: mode.frequencyHz, ci95Hz }, band.bandHz),
      }));
    });
  const nearest = pairs.sort((a, b) => a.gap - b.gap)[0];
  const speeds = `With ${say(payloadKg)} kg more the rotors turn ${say(100 * (factor - 1))} % faster in cruise, ${sayRange(loaded)} Hz`;
  const clear = nearest === undefined || nearest.gap >= limits.separationMargin;
  return [
    {
      id: "payload-forecast",
      level: clear ? "ok" : "unknown",
      value: nearest === undefined ? null : nearest.gap,
      ci95: null,
      limit: limits.separationMargin,
      unit: "share of the mode's frequency",
      axis: null,
      message:
        nearest === undefined
          ? `${speeds}; no structural mode is known that could meet them. A forecast, not a measurement.`
          : `${speeds}; the mode at ${say(nearest.mode.frequencyHz)} Hz can then lie anywhere from ` +
            `${sayRange(nearest.ci95Hz)} Hz, ${say(100 * nearest.gap)} % from the ${nearest.band.name} band at the ` +
            `nearest (wanted ${say(100 * limits.separationMargin)} %). ` +
            (clear
              ? "A forecast, not a measurement."
              : "Fly it with ballast of that mass before the camera goes on."),
      required: false,
    },
  ];
}
