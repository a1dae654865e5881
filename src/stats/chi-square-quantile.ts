import quantile from "@stdlib/stats-base-dists-chisquare-quantile";

/**
 * Quantile of the chi-square distribution.
 *
 * @param p probability, 0..1
 * @param dof degrees of freedom, above 0, not necessarily whole
 * @returns x with P(χ² ≤ x) = p; NaN outside the domain
 * @example chiSquareQuantile(0.975, 10) // 20.483
 */
export function chiSquareQuantile(p: number, dof: number): number {
  return quantile(p, dof);
}
