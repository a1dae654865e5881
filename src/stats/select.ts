/** Arrays that the order statistics work on. */
export type Values = Float64Array | Float32Array;

/**
 * Quickselect: reorders values so that the one of rank k stands at index k, smaller ones before it, larger after.
 *
 * @param values free of NaN; reordered in place
 * @param k rank from 0
 * @param end how many of the values take part; default: all
 * @returns the value of rank k
 * @throws {RangeError} if there is no such rank
 * @see C. A. R. Hoare, Algorithm 65: Find, Comm. ACM 4(7), 1961; pivot: the median of three
 * @example select(Float64Array.of(5, 1, 4), 1) // 4
 */
export function select(values: Values, k: number, end = values.length): number {
  if (!(k >= 0 && k < end)) throw new RangeError(`no value of rank ${k} among ${end}`);
  let low = 0;
  let high = end - 1;
  while (low < high) {
    const pivot = medianOfThree(values[low]!, values[(low + high) >> 1]!, values[high]!);
    let i = low;
    let j = high;
    while (i <= j) {
      while (values[i]! < pivot) i++;
      while (values[j]! > pivot) j--;
      if (i <= j) {
        const swap = values[i]!;
        values[i++] = values[j]!;
        values[j--] = swap;
      }
    }
    if (k <= j) high = j;
    else if (k >= i) low = i;
    else break;
  }
  return values[k]!;
}

function medianOfThree(a: number, b: number, c: number): number {
  return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
}
