import { harmonicNumber } from "./harmonic-number.js";
import { select, type Values } from "./select.js";

/**
 * Mean of exponentially distributed values (periodogram cells) from their smallest ones only: a few wild cells do
 * not move it. The sum of the k smallest of n is divided by its expectation for mean 1.
 *
 * @param values free of NaN; reordered in place
 * @param keep how many of the smallest to use, k
 * @param end how many values take part, n; default: all
 * @returns an unbiased estimate of the mean; NaN when k is 0
 * @throws {RangeError} if k exceeds n
 * @see B. Epstein, M. Sobel, Life testing, J. Am. Stat. Assoc. 48, 1953 (order statistics of the exponential law)
 * @example trimmedExponentialMean(Float64Array.of(1, 2, 99), 2) // 3 / (1/3 + 5/6)
 */
export function trimmedExponentialMean(values: Values, keep: number, end = values.length): number {
  if (keep > end) throw new RangeError(`cannot keep ${keep} of ${end} values`);
  if (keep <= 0) return Number.NaN;
  if (keep < end) select(values, keep - 1, end);
  let sum = 0;
  for (let i = 0; i < keep; i++) sum += values[i]!;
  return sum / expectedSmallestSum(end, keep);
}

/**
 * Expected sum of the k smallest of n exponential variables of mean 1:
 * Σ_{j=1..k} (H_n − H_{n−j}) = k − (n − k)(H_n − H_{n−k}).
 *
 * @example expectedSmallestSum(3, 2) // 1/3 + 5/6
 */
export function expectedSmallestSum(n: number, k: number): number {
  return k - (n - k) * (harmonicNumber(n) - harmonicNumber(n - k));
}
