import type { Axis, Hertz, Interval } from "../units.js";
import type { DelayFit } from "./delay-fit.js";
import { medianCoherence } from "./path-delay.js";
import type { MeasuredPath } from "./study.js";
import type { ThrottleLevel } from "./throttle-levels.js";
import type { TransferSums } from "./transfer.js";

/** Which row of the table it is. */
export interface RowPlace {
  readonly crossoverHz: Hertz;
  readonly path: "gyro" | "dterm";
  readonly axis: Axis;
  readonly level: ThrottleLevel;
  readonly seconds: number;
}

/** One row of the table of measured delays: path, axis and throttle level. */
export function rowOf(fit: DelayFit | null, sums: TransferSums, place: RowPlace): MeasuredPath {
  const { crossoverHz, path, axis, level, seconds } = place;
  const seen = sums.frames === 0 ? null : medianCoherence(sums, 4, Math.max(10, crossoverHz));
  const lag = fit?.phaseLagDeg(crossoverHz) ?? null;
  return {
    path,
    axis,
    throttle: level.throttle,
    fromThrottle: level.from,
    toThrottle: level.to,
    seconds,
    delayMs: fit === null ? null : 1000 * fit.delayS,
    ci95Ms: fit === null ? null : inMs(fit.ci95S),
    phaseDeg: lag?.value ?? null,
    phaseCi95Deg: lag?.ci95 ?? null,
    coherence: seen === null || Number.isNaN(seen) ? null : seen,
    why: fit === null ? whyNot(sums, seen) : null,
  };
}

function whyNot(sums: TransferSums, coherence: number | null): string {
  if (sums.frames < 4) return "too little unbroken flight at this throttle";
  const share = coherence === null || Number.isNaN(coherence) ? 0 : coherence;
  if (share > 0.7)
    return "the interval would be too wide to be of use: a longer flight or a faster log mends that";
  return `only ${Math.round(100 * share)} % of the output follows the input there: noise folded down by the slow log, or another source, hides it`;
}

/** An interval in seconds as milliseconds. */
export function inMs([low, high]: Interval): Interval {
  return [1000 * low, 1000 * high];
}
