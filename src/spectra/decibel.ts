/** Levels below this are shown as this: a power of zero has no finite level. */
export const LOWEST_DB = -200;

/**
 * Level of a power ratio: 10 log10, held at `LOWEST_DB` from below.
 *
 * @param ratio power over reference power, 0 or more
 * @returns dB; NaN for NaN
 * @example powerDb(0.01) // −20
 */
export function powerDb(ratio: number): number {
  return ratio > 0 ? Math.max(LOWEST_DB, 10 * Math.log10(ratio)) : ratio <= 0 ? LOWEST_DB : Number.NaN;
}

/**
 * Power ratio of a level: 10^(dB / 10).
 *
 * @example powerRatio(-20) // 0.01
 */
export function powerRatio(db: number): number {
  return 10 ** (db / 10);
}

/**
 * Level of an amplitude ratio: 20 log10, held at `LOWEST_DB` from below.
 *
 * @param ratio amplitude over reference amplitude
 * @example amplitudeDb(0.1) // −20
 */
export function amplitudeDb(ratio: number): number {
  return powerDb(ratio * ratio);
}
