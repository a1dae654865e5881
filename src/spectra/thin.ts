import type { DrawnSeries } from "../evidence.js";

export interface ThinOptions {
  readonly sampleRate: number;
  /** Time of sample 0, s. Default 0. */
  readonly startS?: number | undefined;
  /** Default 600. */
  readonly maxPoints?: number | undefined;
  /** 1 where a sample may be used. Default: everywhere. */
  readonly valid?: Uint8Array | undefined;
}

/**
 * A long series as at most `maxPoints` means of equal stretches, for drawing.
 *
 * @param series one value per sample; NaN are left out
 * @param options rate, time of sample 0, most points
 * @returns x: time of each stretch's middle, s; y: its mean, NaN where it holds nothing
 * @example thin(Float32Array.of(1, 3, 5, 7), { sampleRate: 1, maxPoints: 2 }).y // [2, 6]
 */
export function thin(series: Float32Array, options: ThinOptions): DrawnSeries {
  const { sampleRate, startS = 0, maxPoints = 600, valid } = options;
  const stretch = Math.max(1, Math.ceil(series.length / maxPoints));
  const points = Math.ceil(series.length / stretch);
  const x = new Float64Array(points);
  const y = new Float64Array(points);
  for (let point = 0; point < points; point++) {
    const from = point * stretch;
    const to = Math.min(series.length, from + stretch);
    let sum = 0;
    let count = 0;
    for (let n = from; n < to; n++) {
      const value = series[n]!;
      if (!Number.isNaN(value) && (!valid || valid[n] === 1)) {
        sum += value;
        count++;
      }
    }
    x[point] = startS + (from + to - 1) / 2 / sampleRate;
    y[point] = sum / count;
  }
  return { x, y };
}
