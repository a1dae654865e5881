import type { Interval } from "../units.js";
import { fQuantile } from "./f-quantile.js";

/**
 * Between which values the ratio of two equal variances (or PSD values) stays with probability 1 − α, two-sided.
 *
 * @param dof1 degrees of freedom of the numerator
 * @param dof2 degrees of freedom of the denominator
 * @param alpha probability outside, both tails together; default 0.05
 * @returns `[1 / F(1 − α/2; ν2, ν1), F(1 − α/2; ν1, ν2)]`
 * @see NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.9
 * @example varianceRatioLimits(15.26, 15.26) // [0.3528, 2.835]
 */
export function varianceRatioLimits(dof1: number, dof2: number, alpha = 0.05): Interval {
  const p = 1 - alpha / 2;
  return [1 / fQuantile(p, dof2, dof1), fQuantile(p, dof1, dof2)];
}
