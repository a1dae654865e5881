import quantile from "@stdlib/stats-base-dists-normal-quantile";

/**
 * Quantile of the standard normal distribution.
 *
 * @param p probability, 0..1
 * @returns x with P(z ≤ x) = p; NaN outside the domain
 * @example normalQuantile(0.975) // 1.95996
 */
export function normalQuantile(p: number): number {
  return quantile(p, 0, 1);
}
