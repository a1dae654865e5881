import type { AxisMode } from "./axis-mode.js";
import { fitModes, type ModeStart } from "./fit-modes.js";
import { type FixedAverage, LEAST_FRAMES, SHAPE_PER_FRAME } from "./masked-average.js";
import type { ResolutionBank } from "./resolution-bank.js";
import type { SpeedClasses } from "./speed-classes.js";

/** A change of frequency from the 5th to the 95th percentile of thrust, with its standard deviation, Hz. */
export interface Drift {
  readonly hz: number;
  readonly sdHz: number;
}

/**
 * What is known before looking: joints held by friction soften with amplitude, by up to about 3 %
 * (method note; common practice, no source).
 */
const PRIOR_SHARE = -0.005;
const PRIOR_SD_SHARE = 0.012;

/** The spectrum of one speed class, as an average of its own. */
function classAverage(average: FixedAverage, c: number): FixedAverage {
  const { density, frames } = average.classes[c]!;
  return {
    df: average.df,
    density: density.map((s, b) => (frames[b]! >= LEAST_FRAMES ? s : Number.NaN)),
    frames,
    shape: frames.map((n) => n * SHAPE_PER_FRAME),
    classes: [],
  };
}

/** Frequency of a mode in one speed class: everything else of its window held. */
function frequencyInClass(mode: AxisMode, c: number): { hz: number; sd: number } | null {
  const { window, modes, theta } = mode.fit;
  const last = modes.length - 1;
  const reachHz = Math.max(3, 0.04 * mode.frequencyHz);
  const wide = reachHz + Math.max(6 * window.df, 3 * mode.dampingRatio * mode.frequencyHz);
  const place = { fromHz: mode.frequencyHz - wide, toHz: mode.frequencyHz + wide };
  const starts: ModeStart[] = modes.map((m, j) => ({ ...m, reachHz, held: j !== last }));
  const fit = fitModes(classAverage(mode.average, c), place, starts, theta[0]!);
  const found = fit?.modes[last];
  return found && found.gain > 0.5 && found.sdHz < 0.03 * mode.frequencyHz
    ? { hz: found.frequencyHz, sd: found.sdHz }
    : null;
}

/** Mean thrust (relative to median) of the frames of a class in which a frequency was free. */
function classThrust(mode: AxisMode, bank: ResolutionBank): number[] {
  const { plane, classes } = bank.base;
  const bin = Math.round(mode.frequencyHz / bank.averages[mode.axis]!.df);
  const sum = [0, 0, 0];
  const count = [0, 0, 0];
  for (let k = 0; k < plane.grid.starts.length; k++) {
    const c = classes!.of[k]!;
    if (c > 2 || plane.mask[k * plane.grid.bins + bin] !== 0) continue;
    sum[c]! += classes!.ratio[k]! ** 2;
    count[c]! += 1;
  }
  return sum.map((s, c) => s / count[c]!);
}

/** Mean thrust less its median over the frames in which a frequency was free, in units of the flight's span. */
export function thrustOffset(frequencyHz: number, axis: number, bank: ResolutionBank): number {
  const { plane, classes } = bank.base;
  if (classes === null) return 0;
  const bin = Math.round(frequencyHz / bank.averages[axis]!.df);
  let sum = 0;
  let count = 0;
  for (let k = 0; k < plane.grid.starts.length; k++) {
    if (plane.mask[k * plane.grid.bins + bin] !== 0) continue;
    sum += classes.ratio[k]! ** 2 - 1;
    count++;
  }
  return count > 0 ? sum / count / classes.thrustSpan : 0;
}

/**
 * Change of a mode's frequency with thrust on one axis: weighted straight line through its frequencies in the three
 * speed classes.
 *
 * @returns null when the speed hardly varies or fewer than two classes show the mode
 */
export function driftOnAxis(mode: AxisMode, bank: ResolutionBank): Drift | null {
  const { classes } = bank.base;
  if (classes === null || mode.average.classes.length === 0) return null;
  const thrust = classThrust(mode, bank);
  const points = thrust.flatMap((x, c) => {
    const found = Number.isFinite(x) ? frequencyInClass(mode, c) : null;
    return found === null ? [] : [{ x: x / classes.thrustSpan, ...found }];
  });
  if (points.length < 2) return null;
  let [w, wx, wy, wxx, wxy] = [0, 0, 0, 0, 0];
  for (const p of points) {
    const weight = 1 / p.sd ** 2;
    w += weight;
    wx += weight * p.x;
    wy += weight * p.hz;
    wxx += weight * p.x * p.x;
    wxy += weight * p.x * p.hz;
  }
  const spread = wxx - (wx * wx) / w;
  return spread > 0 ? { hz: (wxy - (wx * wy) / w) / spread, sdHz: 1 / Math.sqrt(spread) } : null;
}

/** Weighted mean of the axes' drifts, or null when none tells. */
export function combineDrifts(drifts: readonly (Drift | null)[]): Drift | null {
  const told = drifts.filter((d) => d !== null);
  if (told.length === 0) return null;
  const total = told.reduce((s, d) => s + 1 / d.sdHz ** 2, 0);
  return { hz: told.reduce((s, d) => s + d.hz / d.sdHz ** 2, 0) / total, sdHz: 1 / Math.sqrt(total) };
}

/** What is believed of a mode's drift: the measurement together with what is known of joints. */
export function believedDrift(measured: Drift | null, frequencyHz: number): Drift {
  const prior = { hz: PRIOR_SHARE * frequencyHz, sdHz: PRIOR_SD_SHARE * frequencyHz };
  return combineDrifts([measured, prior])!;
}

/** Drift as what to follow: Hz above the place at median speed, from the speed ratio. */
export function followDrift(hz: number, classes: SpeedClasses): (ratio: number) => number {
  return (ratio) => hz * Math.max(-1, Math.min(1, (ratio * ratio - 1) / classes.thrustSpan));
}
