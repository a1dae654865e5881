import type { MergedMode } from "./merge.js";
import type { ResolutionBank } from "./resolution-bank.js";

/** Variance of ln of an exponential variable: π²/6. */
const LOG_EXPONENTIAL_VARIANCE = Math.PI ** 2 / 6;
const LEAST_FRAMES = 12;
/** Below this spread of the excitation (ln, standard deviation) there is nothing to regress on. */
const LEAST_SPREAD = 0.15;

/**
 * How a mode's power follows the excitation of the frames: slope of ln power at its peak on ln excitation. 1 for
 * what the wash drives, 0 for what it does not.
 *
 * @returns slope and its standard deviation, or null when the excitation hardly varies
 */
export function washSlope(mode: MergedMode, bank: ResolutionBank): { value: number; sd: number } | null {
  const { plane, levelling } = bank.base;
  const { bins, starts } = plane.grid;
  const seen = mode.seen[0]!;
  const { df } = bank.averages[seen.axis]!;
  const { power } = plane.axes[seen.axis]!;
  const bin = Math.round(mode.frequencyHz / df);
  const points: { x: number; y: number }[] = [];
  for (let k = 0; k < starts.length; k++) {
    const at = k * bins + bin;
    if (plane.mask[at] === 0) points.push({ x: levelling.excitation[k]!, y: Math.log(power[at]! + 1e-30) });
  }
  const n = points.length;
  if (n < LEAST_FRAMES) return null;
  const mx = points.reduce((s, p) => s + p.x, 0) / n;
  const my = points.reduce((s, p) => s + p.y, 0) / n;
  const xx = points.reduce((s, p) => s + (p.x - mx) ** 2, 0);
  const xy = points.reduce((s, p) => s + (p.x - mx) * (p.y - my), 0);
  if (Math.sqrt(xx / n) < LEAST_SPREAD) return null;
  return { value: xy / xx, sd: Math.sqrt(LOG_EXPONENTIAL_VARIANCE / xx) };
}
