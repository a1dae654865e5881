import { round } from "./cell-levels.js";
import { type ClassedFrames, middleOf } from "./classes.js";
import type { LineLevels } from "./fingerprint.js";

/** Frames this far apart still share a beat between motors. */
const LONGEST_LAG = 8;
/** Frames never scatter less: a line's amplitude is not better known than that. */
const LEAST_VARIANCE = 0.05;
/** Relative variance where it cannot be measured: that of noise. */
const UNKNOWN_VARIANCE = 2;

/** `classLevels` on every scale, one after the other. */
export function scaleLevels(squares: ArrayLike<number>, scales: readonly ClassedFrames[]): LineLevels {
  return joined(scales.map((classed) => classLevels(squares, classed)));
}

/**
 * `classLogLevels` on every scale, one after the other; each power is first carried to its class's middle as that of
 * a rigid craft, ∝ speed².
 *
 * @param speed of each frame, Hz
 */
export function scaleLogLevels(
  squares: Float64Array,
  speed: Float64Array,
  scales: readonly ClassedFrames[],
): LineLevels {
  const carried = (classed: ClassedFrames): Float64Array =>
    squares.map((square, k) => {
      const c = classed.classes[classed.of[k]!];
      return c === undefined ? Number.NaN : square * (middleOf(c) / speed[k]!) ** 2;
    });
  return joined(scales.map((classed) => classLogLevels(carried(classed), classed)));
}

function joined(each: readonly LineLevels[]): LineLevels {
  return { meanSquare: each.flatMap((l) => l.meanSquare), dof: each.flatMap((l) => l.dof) };
}

/**
 * Mean of a per-frame power in every class, with degrees of freedom from how the frames scatter about it.
 *
 * @param squares one a frame, unit²; NaN: not known
 */
export function classLevels(squares: ArrayLike<number>, classed: ClassedFrames): LineLevels {
  const { mean, count } = classMeans(squares, classed);
  const rest = Float64Array.from(squares, (square, k) => {
    const m = mean[classed.of[k]!];
    return m !== undefined && m > 0 ? (square - m) / m : Number.NaN;
  });
  return levelsOf(mean, count, framesAlike(rest) * spareVariance(rest, count));
}

/**
 * The same for a power that never reaches zero: the mean of its logarithm, which blocks on a resonance do not rule.
 *
 * @param squares one a frame, unit², above 0; NaN: not known
 */
export function classLogLevels(squares: ArrayLike<number>, classed: ClassedFrames): LineLevels {
  const logs = Float64Array.from(squares, (square) => (square > 0 ? Math.log(square) : Number.NaN));
  const { mean, count } = classMeans(logs, classed);
  const rest = logs.map((log, k) => log - (mean[classed.of[k]!] ?? Number.NaN));
  return levelsOf(mean.map(Math.exp), count, framesAlike(rest) * spareVariance(rest, count));
}

function classMeans(values: ArrayLike<number>, classed: ClassedFrames): { mean: number[]; count: number[] } {
  const count = classed.classes.map(() => 0);
  const sum = classed.classes.map(() => 0);
  for (let k = 0; k < values.length; k++) {
    const c = classed.of[k]!;
    if (c < 0 || Number.isNaN(values[k]!)) continue;
    count[c]! += 1;
    sum[c]! += values[k]!;
  }
  return { mean: sum.map((s, c) => (count[c]! > 0 ? s / count[c]! : 0)), count };
}

/** @param variance relative, of one frame, neighbours alike included */
function levelsOf(mean: readonly number[], count: readonly number[], variance: number): LineLevels {
  const one = Math.max(LEAST_VARIANCE, variance);
  return {
    meanSquare: mean.map((m, c) => (count[c]! > 0 ? Number(m.toPrecision(5)) : 0)),
    dof: count.map((n) => round((2 * n) / one, 2)),
  };
}

/** Variance about the classes' means; each class takes one frame's freedom. */
function spareVariance(rest: Float64Array, count: readonly number[]): number {
  const frames = count.reduce((sum, n) => sum + n, 0);
  const free = frames - count.filter((n) => n > 0).length;
  return free > 0 ? (laggedProduct(rest, 0) * frames) / free : UNKNOWN_VARIANCE;
}

/** Frames that carry one piece of news: lines of motors that turn nearly alike beat slowly. */
function framesAlike(rest: Float64Array): number {
  const own = laggedProduct(rest, 0);
  let alike = 1;
  for (let lag = 1; own > 0 && lag <= LONGEST_LAG; lag++) {
    alike += 2 * Math.max(0, laggedProduct(rest, lag) / own);
  }
  return alike;
}

/** Mean of x(k) x(k + lag) over the places where both are known; 0 without any. */
function laggedProduct(x: Float64Array, lag: number): number {
  let sum = 0;
  let count = 0;
  for (let k = 0; k + lag < x.length; k++) {
    const product = x[k]! * x[k + lag]!;
    if (Number.isNaN(product)) continue;
    sum += product;
    count++;
  }
  return count > 0 ? sum / count : 0;
}
