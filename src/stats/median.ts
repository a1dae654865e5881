import { quantile, quantileInPlace } from "./quantile.js";
import type { Values } from "./select.js";

/**
 * Median; the mean of the middle two for an even count.
 *
 * @param values any order, left as they are; NaN are left out
 * @returns NaN when nothing is left
 * @example median([3, 1, 2, 10]) // 2.5
 */
export function median(values: ArrayLike<number>): number {
  return quantile(values, 0.5);
}

/** The same on values free of NaN, which it reorders: for inner loops. `end`: how many take part. */
export function medianInPlace(values: Values, end = values.length): number {
  return quantileInPlace(values, 0.5, end);
}
