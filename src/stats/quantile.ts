import { select, type Values } from "./select.js";

/**
 * Quantile of a sample, with linear interpolation between the two nearest order statistics (the type 7 of
 * R. J. Hyndman & Y. Fan, Sample quantiles in statistical packages, Am. Stat. 50, 1996).
 *
 * @param values any order, left as they are; NaN are left out
 * @param q 0..1
 * @returns the quantile, NaN when nothing is left
 * @throws {RangeError} if q is outside 0..1
 * @example quantile([1, 2, 3, 4], 0.25) // 1.75
 */
export function quantile(values: ArrayLike<number>, q: number): number {
  return quantileInPlace(withoutNaN(values), q);
}

/** The same on values free of NaN, which it reorders: for inner loops. `end`: how many take part. */
export function quantileInPlace(values: Values, q: number, end = values.length): number {
  if (!(q >= 0 && q <= 1)) throw new RangeError(`quantile must be in 0..1, got ${q}`);
  if (end === 0) return Number.NaN;
  const rank = q * (end - 1);
  const below = Math.floor(rank);
  const low = select(values, below, end);
  if (rank === below) return low;
  let next = Infinity;
  for (let i = below + 1; i < end; i++) if (values[i]! < next) next = values[i]!;
  return low + (rank - below) * (next - low);
}

/** A copy in double precision without the NaN. */
export function withoutNaN(values: ArrayLike<number>): Float64Array {
  const kept = new Float64Array(values.length);
  let count = 0;
  for (let i = 0; i < values.length; i++) {
    const value = values[i]!;
    if (!Number.isNaN(value)) kept[count++] = value;
  }
  return kept.subarray(0, count);
}
