/** What is taken off each segment before the window: nothing, its mean, or its least-squares line. */
export type Detrend = "none" | "constant" | "linear";

/**
 * Copies a segment of a series, takes its trend off and weights it with a window, in double precision.
 *
 * @param x series
 * @param start first sample of the segment
 * @param detrend what to take off, before the window
 * @param window weights; their number is the segment's length
 * @param out receives the segment in its first samples
 * @example detrendInto([1, 2, 3], 0, "linear", [1, 1, 1], out) // out = [0, 0, 0]
 */
export function detrendInto(
  x: Float32Array | Float64Array,
  start: number,
  detrend: Detrend,
  window: Float64Array,
  out: Float64Array,
): void {
  const length = window.length;
  const mean = detrend === "none" ? 0 : meanOf(x, start, length);
  if (detrend !== "linear") {
    for (let n = 0; n < length; n++) out[n] = (x[start + n]! - mean) * window[n]!;
    return;
  }
  const slope = slopeOf(x, start, length);
  const offset = mean - (slope * (length - 1)) / 2;
  for (let n = 0; n < length; n++) out[n] = (x[start + n]! - offset - slope * n) * window[n]!;
}

function meanOf(x: Float32Array | Float64Array, start: number, length: number): number {
  let sum = 0;
  for (let n = 0; n < length; n++) sum += x[start + n]!;
  return sum / length;
}

/** Least-squares slope per sample; Σ (n − centre)² = N (N² − 1) / 12. */
function slopeOf(x: Float32Array | Float64Array, start: number, length: number): number {
  if (length < 2) return 0;
  const centre = (length - 1) / 2;
  let moment = 0;
  for (let n = 0; n < length; n++) moment += (n - centre) * x[start + n]!;
  return (12 * moment) / (length * (length * length - 1));
}
