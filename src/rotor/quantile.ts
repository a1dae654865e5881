/**
 * A quantile by selection; the array is reordered. Lower order statistic, no interpolation.
 *
 * @param values at least one, no NaN; **reordered in place**
 * @param q 0..1
 * @example quantile(Float64Array.of(3, 1, 2), 0.5) // 2
 */
export function quantile(values: Float32Array | Float64Array, q: number): number {
  const rank = Math.min(values.length - 1, Math.max(0, Math.floor(q * (values.length - 1) + 1e-9)));
  let left = 0;
  let right = values.length - 1;
  while (left < right) {
    const pivot = values[(left + right) >> 1]!;
    let i = left;
    let j = right;
    while (i <= j) {
      while (values[i]! < pivot) i++;
      while (values[j]! > pivot) j--;
      if (i > j) break;
      const held = values[i]!;
      values[i++] = values[j]!;
      values[j--] = held;
    }
    if (rank <= j) right = j;
    else if (rank >= i) left = i;
    else break;
  }
  return values[rank]!;
}

/** Median of a copy, NaN entries left out; NaN when nothing is left. */
export function medianOf(values: ArrayLike<number>): number {
  const kept = Float64Array.from(values).filter((v) => !Number.isNaN(v));
  return kept.length === 0 ? Number.NaN : quantile(kept, 0.5);
}

/** Quantile of a copy, NaN entries left out; NaN when nothing is left. */
export function quantileOf(values: ArrayLike<number>, q: number): number {
  const kept = Float64Array.from(values).filter((v) => !Number.isNaN(v));
  return kept.length === 0 ? Number.NaN : quantile(kept, q);
}
