import cdf from "@stdlib/stats-base-dists-chisquare-cdf";

/**
 * Distribution function of chi-square.
 *
 * @param x value, 0 or more
 * @param dof degrees of freedom, above 0, not necessarily whole
 * @returns P(χ² ≤ x); NaN outside the domain
 * @example chiSquareCdf(20.48318, 10) // 0.975
 */
export function chiSquareCdf(x: number, dof: number): number {
  return cdf(x, dof);
}
