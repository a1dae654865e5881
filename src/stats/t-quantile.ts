import quantile from "@stdlib/stats-base-dists-t-quantile";

/**
 * Quantile of Student's t.
 *
 * @param p probability, 0..1
 * @param dof degrees of freedom, above 0
 * @returns x with P(t ≤ x) = p; NaN outside the domain
 * @example tQuantile(0.975, 30) // 2.0423
 */
export function tQuantile(p: number, dof: number): number {
  return quantile(p, dof);
}
