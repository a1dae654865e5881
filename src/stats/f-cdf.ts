import cdf from "@stdlib/stats-base-dists-f-cdf";

/**
 * Distribution function of Fisher's F: the ratio of two independent chi-squares, each over its degrees of freedom.
 *
 * @param x value, 0 or more
 * @param dof1 degrees of freedom of the numerator
 * @param dof2 degrees of freedom of the denominator: the order of the two matters
 * @returns P(F ≤ x); NaN outside the domain
 * @example fCdf(2.978, 10, 10) // 0.95
 */
export function fCdf(x: number, dof1: number, dof2: number): number {
  return cdf(x, dof1, dof2);
}
