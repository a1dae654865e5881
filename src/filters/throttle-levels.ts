import { quantile } from "../stats/quantile.js";
import type { Timeline } from "../timeline/timeline.js";

/** A range of throttle in which filters that follow it count as standing still. */
export interface ThrottleLevel {
  /** Lower end, 0..1; the lowest level reaches down to 0, the highest up to 1. */
  readonly from: number;
  readonly to: number;
  /** Median throttle in it; null when the log has no throttle. */
  readonly throttle: number | null;
}

const MOST_LEVELS = 4;
/** Levels are not cut finer than this in throttle: speeds differ by some 5 % across it. */
const LEAST_WIDTH = 0.06;
/** Seconds of flight wanted in each level. */
const LEAST_SECONDS = 8;
const SAMPLES = 4000;

/**
 * Cuts the flight's throttle into up to four levels of equal time.
 *
 * @returns levels by rising throttle; a single one, with `throttle` null, when the log has no throttle
 */
export function throttleLevels(timeline: Timeline): ThrottleLevel[] {
  const seen = airborneThrottle(timeline);
  if (seen.length === 0) return [{ from: 0, to: 1, throttle: null }];
  const at = (q: number): number => quantile(seen, q);
  const seconds = timeline.airborne.reduce((sum, s) => sum + s.to - s.from, 0) / timeline.sampleRate;
  const count = Math.min(
    MOST_LEVELS,
    Math.floor((at(0.95) - at(0.05)) / LEAST_WIDTH),
    Math.floor(seconds / LEAST_SECONDS),
  );
  const cuts = Array.from({ length: Math.max(1, count) - 1 }, (_, k) => at((k + 1) / count));
  const ends = [0, ...cuts, 1];
  return ends.slice(1).map((to, k) => {
    const from = ends[k]!;
    return {
      from,
      to,
      throttle: quantile(
        seen.filter((u) => u >= from && u <= to),
        0.5,
      ),
    };
  });
}

/** The level that a throttle lies in; the first one for NaN. */
export function levelOf(levels: readonly ThrottleLevel[], throttle: number): number {
  const above = levels.findIndex((level) => throttle < level.to);
  return Number.isNaN(throttle) ? 0 : above < 0 ? levels.length - 1 : above;
}

function airborneThrottle({ throttle, airborne, valid }: Timeline): Float64Array {
  if (throttle === null) return new Float64Array(0);
  const total = airborne.reduce((sum, s) => sum + s.to - s.from, 0);
  const step = Math.max(1, Math.floor(total / SAMPLES));
  const seen: number[] = [];
  for (const { from, to } of airborne) {
    for (let i = from; i < to; i += step) {
      if (valid[i] === 1 && Number.isFinite(throttle[i]!)) seen.push(throttle[i]!);
    }
  }
  return Float64Array.from(seen);
}
