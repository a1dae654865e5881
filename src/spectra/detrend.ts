/** What is taken off each segment before the window: nothing, its mean, or its least-squares line. */
export type Detrend = "none" | "constant" | "linear";

/**
 * Copies a segment of a series and takes its trend off.
 *
 * @param x series
 * @param start first sample of the segment
 * @param detrend what to take off
 * @param out receives the segment: its length is the segment's; the arithmetic is in double precision
 * @example detrendInto([1, 2, 3], 0, "linear", out) // out = [0, 0, 0]
 */
export function detrendInto(
  x: Float32Array | Float64Array,
  start: number,
  detrend: Detrend,
  out: Float64Array,
): void {
  const length = out.length;
  if (detrend === "none") {
    for (let n = 0; n < length; n++) out[n] = x[start + n]!;
    return;
  }
  const centre = (length - 1) / 2;
  let sum = 0;
  let moment = 0;
  for (let n = 0; n < length; n++) {
    const value = x[start + n]!;
    out[n] = value;
    sum += value;
    moment += (n - centre) * value;
  }
  const mean = sum / length;
  // Σ (n − centre)² = N (N² − 1) / 12
  const slope = detrend === "linear" && length > 1 ? (12 * moment) / (length * (length * length - 1)) : 0;
  for (let n = 0; n < length; n++) out[n] = out[n]! - mean - slope * (n - centre);
}
