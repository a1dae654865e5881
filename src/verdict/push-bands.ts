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

/** The separation by the worse and by the better end of the mode's interval. */
export function gapInterval({ ci95Hz }: Pick<Mode, "ci95Hz">, band: Interval): Interval {
  const gaps = ci95Hz.map((hz) => separationOf({ frequencyHz: hz, ci95Hz: [hz, hz] }, band));
  return [Math.min(...gaps), Math.max(...gaps)];
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

/** Blades to reckon with: as known, else the most that are usual. */
export function bladesToReckonWith(blades: number | null): number {
  return blades ?? Math.max(...USUAL_BLADES);
}
