import type { AxisMode } from "./axis-mode.js";
import { fitModes, type ModeStart } from "./fit-modes.js";
import { type FixedAverage, LEAST_FRAMES, SHAPE_PER_FRAME } from "./masked-average.js";
import type { MergedMode } from "./merge.js";
import type { SpeedClasses } from "./speed-classes.js";

/** A change of frequency with its standard deviation, over the flight's range of rotor speed. */
export interface Drift {
  readonly hz: number;
  readonly sdHz: number;
}

/** The drift is told when its deviation is under this share of the frequency. */
const MOST_SD_SHARE = 0.02;

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
  const place = {
    fromHz: window.firstBin * window.df,
    toHz: (window.firstBin + window.bins - 1) * window.df,
  };
  const starts: ModeStart[] = modes.map((m, j) => ({
    ...m,
    reachHz: Math.max(3, 0.04 * m.frequencyHz),
    held: j !== modes.length - 1,
  }));
  const fit = fitModes(classAverage(mode.average, c), place, starts, theta[0]!);
  const found = fit?.modes[modes.length - 1];
  return found && found.gain > 0.5 ? { hz: found.frequencyHz, sd: found.sdHz } : null;
}

/**
 * Change of a mode's frequency from the 5th to the 95th percentile of rotor speed: weighted straight line through
 * its frequencies in the three speed classes on the axis where it stands highest. Joints held by friction soften
 * with amplitude, so a structure may drift by 1 to 3 %.
 *
 * @returns null when the speed hardly varies or the classes do not tell
 */
export function driftOf(mode: MergedMode, classes: SpeedClasses | null): Drift | null {
  const seen = mode.seen[0]!;
  if (classes === null || seen.average.classes.length === 0) return null;
  const points = classes.means.flatMap((speed, c) => {
    const found = frequencyInClass(seen, c);
    return found === null ? [] : [{ speed, ...found }];
  });
  if (points.length < 2) return null;
  let [w, wx, wy, wxx, wxy] = [0, 0, 0, 0, 0];
  for (const p of points) {
    const weight = 1 / p.sd ** 2;
    w += weight;
    wx += weight * p.speed;
    wy += weight * p.hz;
    wxx += weight * p.speed * p.speed;
    wxy += weight * p.speed * p.hz;
  }
  const spread = wxx - (wx * wx) / w;
  const sdHz = classes.span / Math.sqrt(spread);
  if (!(sdHz < MOST_SD_SHARE * mode.frequencyHz)) return null;
  return { hz: (classes.span * (wxy - (wx * wy) / w)) / spread, sdHz };
}
