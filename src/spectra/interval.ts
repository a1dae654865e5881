import { chiSquareQuantile } from "../stats/chi-square-quantile.js";
import type { Interval } from "../units.js";

/**
 * Factors that turn a spectral estimate into its confidence interval: ν / χ²(1 − α/2; ν) and ν / χ²(α/2; ν).
 *
 * @param edof ν, equivalent degrees of freedom
 * @param confidence default 0.95
 * @returns `[low, high]`, dimensionless; `[0, Infinity]` for ν = 0
 * @see J. S. Bendat, A. G. Piersol, Random Data, chapter 8
 * @example chiSquareFactors(10) // [0.48821, 3.0798]
 */
export function chiSquareFactors(edof: number, confidence = 0.95): Interval {
  if (edof <= 0) return [0, Infinity];
  const tail = (1 - confidence) / 2;
  return [edof / chiSquareQuantile(1 - tail, edof), edof / chiSquareQuantile(tail, edof)];
}

/**
 * How far the largest of M independent bins of plain noise rises above its true level, at most, with probability 1 − α.
 *
 * @param edof ν of each bin
 * @param bins M ≥ 1, independent bins looked at
 * @param alpha probability of a false alarm in the whole search, default 0.05
 * @returns ratio of estimate to true level: χ²((1 − α)^(1/M); ν) / ν
 * @example noisePeakRatio(20, 500) // 2.6155
 */
export function noisePeakRatio(edof: number, bins: number, alpha = 0.05): number {
  return chiSquareQuantile((1 - alpha) ** (1 / bins), edof) / edof;
}
