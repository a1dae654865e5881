import { medianInPlace } from "./median.js";
import { withoutNaN } from "./quantile.js";

/** Standard deviations of a normal distribution per median absolute deviation: 1 / Φ⁻¹(3/4). */
export const NORMAL_MAD = 1.482602218505602;

/**
 * Median absolute deviation from the median.
 *
 * @param values any order, left as they are; NaN are left out
 * @returns in the unit of the values; NaN when nothing is left
 * @see F. R. Hampel, J. Am. Stat. Assoc. 69, 1974
 * @example mad([1, 1, 2, 2, 4, 6, 9]) // 1
 */
export function mad(values: ArrayLike<number>): number {
  const work = withoutNaN(values);
  const centre = medianInPlace(work);
  for (let i = 0; i < work.length; i++) work[i] = Math.abs(work[i]! - centre);
  return medianInPlace(work);
}

/** Standard deviation as the median absolute deviation gives it for normal values. */
export function robustSd(values: ArrayLike<number>): number {
  return NORMAL_MAD * mad(values);
}
