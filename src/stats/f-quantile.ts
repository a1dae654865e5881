import quantile from "@stdlib/stats-base-dists-f-quantile";

/**
 * Quantile of Fisher's F.
 *
 * @param p probability, 0..1
 * @param dof1 degrees of freedom of the numerator
 * @param dof2 degrees of freedom of the denominator: the order of the two matters
 * @returns x with P(F ≤ x) = p; NaN outside the domain
 * @example fQuantile(0.95, 6, 15) // 2.790, and fQuantile(0.95, 15, 6) is 3.938
 */
export function fQuantile(p: number, dof1: number, dof2: number): number {
  return quantile(p, dof1, dof2);
}
