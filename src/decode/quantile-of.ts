import { quantile } from "../stats/quantile.js";

/** Quantile of all finite values of a set, thinned. */
export function quantileOf(values: readonly Float32Array[], share: number, absolute = false): number {
  const known: number[] = [];
  for (const series of values) {
    const stride = Math.max(1, Math.floor(series.length / 20_000));
    for (let i = 0; i < series.length; i += stride) {
      const value = series[i]!;
      if (Number.isFinite(value)) known.push(absolute ? Math.abs(value) : value);
    }
  }
  return known.length === 0 ? Number.NaN : quantile(Float64Array.from(known), share);
}
