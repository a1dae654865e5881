import { quantile } from "../stats/quantile.js";
import type { Timeline } from "../timeline/timeline.js";
import type { Hertz, Seconds } from "../units.js";
import { meanSpeed } from "./common-speed.js";
import { lagged } from "./driver.js";
import type { CurvePoint, SpeedTrack } from "./rotor.js";

const MOST_POINTS = 24;
/** Seconds of flight a point of the curve needs. */
const LEAST_S = 0.5;
const RATE = 100;

/**
 * Rotor frequency against throttle: medians over steps of throttle of equal width.
 *
 * The interval holds the median with 95 %: binomial order statistics over independent half seconds, widened by what
 * the speed itself is unsure of.
 *
 * @param timeline its throttle, lagged as the rotors lag
 * @param tracks rotor frequency
 * @param options time constant; relative standard deviation of the speed
 * @returns by rising throttle, empty without throttle
 */
export function speedCurve(
  timeline: Timeline,
  tracks: readonly SpeedTrack[],
  options: { readonly lagS: Seconds; readonly relativeSd: number },
): CurvePoint[] {
  if (!timeline.throttle) return [];
  const { throttle, hz, rate } = pairs(timeline, tracks, options.lagS);
  if (throttle.length === 0) return [];
  const [low, high] = [quantile(throttle, 0.01), quantile(throttle, 0.99)];
  const width = Math.max(0.01, (high - low) / MOST_POINTS);
  const bins = new Map<number, number[]>();
  throttle.forEach((u, i) => {
    const bin = Math.floor((u - low) / width + 0.5);
    const held = bins.get(bin);
    if (held) held.push(hz[i]!);
    else bins.set(bin, [hz[i]!]);
  });
  return [...bins]
    .filter(([bin, values]) => bin >= 0 && bin <= MOST_POINTS && values.length >= LEAST_S * rate)
    .sort(([a], [b]) => a - b)
    .map(([bin, values]) => point(low + bin * width, values, { rate, relativeSd: options.relativeSd }));
}

function pairs(timeline: Timeline, tracks: readonly SpeedTrack[], lagS: Seconds) {
  const step = Math.max(1, Math.floor(timeline.sampleRate / RATE));
  const rate = timeline.sampleRate / step;
  const command = new Float64Array(Math.ceil(timeline.length / step));
  for (let i = 0; i < command.length; i++) command[i] = timeline.throttle![i * step]!;
  const settled = lagged(
    command.map((u) => (!Number.isNaN(u) ? u : 0)),
    rate,
    lagS,
  );
  const throttle: number[] = [];
  const hz: number[] = [];
  for (const span of timeline.airborne) {
    for (let i = Math.ceil(span.from / step); i * step < span.to; i++) {
      const f = meanSpeed(tracks, i * step);
      if (Number.isNaN(f)) continue;
      throttle.push(settled[i]!);
      hz.push(f);
    }
  }
  return { throttle: Float64Array.from(throttle), hz: Float64Array.from(hz), rate };
}

function point(throttle: number, values: number[], o: { rate: Hertz; relativeSd: number }): CurvePoint {
  const hz = quantile(values, 0.5);
  const independent = Math.max(1, values.length / o.rate / 0.5);
  const half = Math.min(0.49, 0.98 / Math.sqrt(independent));
  const unsure = 1.96 * o.relativeSd * hz;
  const low = Math.hypot(hz - quantile(values, 0.5 - half), unsure);
  const high = Math.hypot(quantile(values, 0.5 + half) - hz, unsure);
  return { throttle, hz, ci95Hz: [hz - low, hz + high] };
}
