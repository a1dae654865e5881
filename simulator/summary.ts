import type { Clock } from "./clock.js";

/** Quantiles of a series (linear between order statistics). */
export function quantiles(x: ArrayLike<number>, at: readonly number[]): number[] {
  const sorted = Float64Array.from(x).sort();
  return at.map((q) => {
    const place = q * (sorted.length - 1);
    const k = Math.floor(place);
    const low = sorted[k] ?? Number.NaN;
    return low + ((sorted[k + 1] ?? low) - low) * (place - k);
  });
}

export function median(x: ArrayLike<number>): number {
  return quantiles(x, [0.5])[0]!;
}

/** Mean over several series, sample by sample. */
export function meanOf(series: readonly Float64Array[]): Float64Array {
  const out = new Float64Array(series[0]?.length ?? 0);
  for (const s of series) for (let i = 0; i < out.length; i++) out[i]! += s[i]! / series.length;
  return out;
}

/** The ticks in the air, the first and last two seconds of a flight that holds the ground left out. */
export function airTicks(series: Float64Array, clock: Clock): Float64Array {
  const trim = clock.airFromS > 0 ? 2 : 0;
  const from = Math.ceil((clock.airFromS + trim) * clock.tickRate);
  const to = Math.max(from + 1, Math.floor((clock.airToS - trim) * clock.tickRate));
  return series.subarray(from, Math.min(to, series.length));
}
