import { quantile } from "../stats/quantile.js";
import type { Span } from "../timeline/timeline.js";
import type { Hertz, Interval } from "../units.js";
import type { SpeedTrack } from "./rotor.js";

/** Values looked at when a flight's speeds are summed up. */
const LOOKED_AT = 20000;

/** Median, 5th and 95th percentile of the mean speed over the tracks, in the air; null when nothing is known. */
export function speedSummary(
  tracks: readonly SpeedTrack[],
  airborne: readonly Span[],
): { medianHz: Hertz; bandHz: Interval } | null {
  const values = sampledMeans(tracks, airborne).filter((v) => !Number.isNaN(v));
  if (values.length === 0) return null;
  return { medianHz: quantile(values, 0.5), bandHz: [quantile(values, 0.05), quantile(values, 0.95)] };
}

function sampledMeans(tracks: readonly SpeedTrack[], airborne: readonly Span[]): Float64Array {
  const total = airborne.reduce((sum, s) => sum + s.to - s.from, 0);
  const stride = Math.max(1, Math.floor(total / LOOKED_AT));
  const out: number[] = [];
  for (const span of airborne)
    for (let i = span.from; i < span.to; i += stride) out.push(meanSpeed(tracks, i));
  return Float64Array.from(out);
}

/** Mean speed of the tracks that are known at a sample, Hz; NaN when none is. */
export function meanSpeed(tracks: readonly SpeedTrack[], i: number): Hertz {
  let sum = 0;
  let count = 0;
  for (const { hz } of tracks) {
    const v = hz[i]!;
    if (Number.isNaN(v)) continue;
    sum += v;
    count++;
  }
  return count > 0 ? sum / count : Number.NaN;
}
