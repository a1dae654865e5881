import { quantile } from "../stats/quantile.js";
import type { Timeline } from "../timeline/timeline.js";
import type { Hertz, Interval } from "../units.js";
import type { SpeedTrack } from "./rotor.js";

/** Values looked at when a flight's speeds are summed up. */
const LOOKED_AT = 20000;

/**
 * Median, 5th and 95th percentile of the mean speed over the tracks, in the air and where rows were logged: a speed
 * bridged over a gap of the log is no measurement. Null when nothing is known.
 */
export function speedSummary(
  tracks: readonly SpeedTrack[],
  timeline: Pick<Timeline, "airborne" | "valid">,
): { medianHz: Hertz; bandHz: Interval } | null {
  const values = sampledMeans(tracks, timeline).filter((v) => !Number.isNaN(v));
  if (values.length === 0) return null;
  return { medianHz: quantile(values, 0.5), bandHz: [quantile(values, 0.05), quantile(values, 0.95)] };
}

function sampledMeans(
  tracks: readonly SpeedTrack[],
  { airborne, valid }: Pick<Timeline, "airborne" | "valid">,
): Float64Array {
  const total = airborne.reduce((sum, s) => sum + s.to - s.from, 0);
  const stride = Math.max(1, Math.floor(total / LOOKED_AT));
  const out: number[] = [];
  for (const span of airborne)
    for (let i = span.from; i < span.to; i += stride) if (valid[i] === 1) out.push(meanSpeed(tracks, i));
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
