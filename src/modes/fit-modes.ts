import { levenbergMarquardt, type Problem, type Solution } from "./levenberg-marquardt.js";
import { BIN_CORRELATION, type FixedAverage } from "./masked-average.js";
import {
  evaluateModel,
  FLOOR_PARAMETERS,
  LEAST_SHARE,
  type ModelWindow,
  modelWindow,
  PARAMETERS_PER_MODE,
  type Role,
} from "./mode-model.js";

/** One second-order mode on one axis, in the parameters of the model. */
export interface ModeShape {
  readonly frequencyHz: number;
  readonly dampingRatio: number;
  /** Peak over floor, ratio (A of the model). */
  readonly gain: number;
  /** Interference (t of the model). */
  readonly lean: number;
}

/** A fitted mode with the standard deviations of its parameters. */
export interface FittedMode extends ModeShape {
  readonly sdHz: number;
  /** Of ln ζ. */
  readonly sdLogDamping: number;
}

/** A mode to fit: free, or held because its centre lies outside the window. */
export interface ModeStart extends ModeShape {
  /** How far the frequency may move, Hz. */
  readonly reachHz: number;
  /** Known from elsewhere: takes part, but does not move. */
  readonly held: boolean;
}

export interface Fit {
  /** In the order of the starts. */
  readonly modes: readonly FittedMode[];
  /** Deviance, soft at large residuals, plus priors. */
  readonly cost: number;
  /** Σ min(|r|, 5)² over the window: what outliers cannot buy. */
  readonly robustSquares: number;
  /** Mean squared residual per degree of freedom. */
  readonly misfit: number;
  readonly window: ModelWindow;
  readonly theta: Float64Array;
}

export const LEAST_DAMPING = 0.0008;
export const MOST_DAMPING = 0.12;
/** Prior standard deviations: wide, they only keep directions that the data leave open from running away. */
const PRIOR = { slope: 4, logGain: 4, lean: 1.2, logDamping: 1.5, typicalDamping: 0.015 };
/** tanh of this is 0.995: between two modes that one force drives, the zero is 20 dB deep. */
const MOST_LEAN = 3;
const CLIP = 5;

/**
 * Signed root of the Whittle deviance of one bin: r² = 2κ (S/M − 1 − ln(S/M)), so that least squares on r is
 * maximum likelihood for a gamma-distributed spectrum estimate of shape κ.
 *
 * @param u ln(S/M)
 * @returns r and dr/du
 * @see P. Whittle, Ark. Mat. 2, 1953; deviance residuals: McCullagh & Nelder, Generalized Linear Models, sec. 2.4
 * @example devianceResidual(0, 10).residual // 0
 */
export function devianceResidual(u: number, shape: number): { residual: number; slope: number } {
  if (Math.abs(u) < 1e-4)
    return { residual: Math.sqrt(shape) * (u + (u * u) / 6), slope: Math.sqrt(shape) * (1 + u / 3) };
  const v = Math.min(u, 30);
  const grown = Math.expm1(v);
  const residual = Math.sign(v) * Math.sqrt(2 * shape * (grown - v));
  return { residual, slope: (shape * grown) / residual };
}

/** The bins of a fit, Hz. */
export interface WindowHz {
  readonly fromHz: number;
  readonly toHz: number;
}

/** Window of a mode: ± max(18 Hz, 10 half-widths, 10 bins), at most 45 % of f. */
export function fitWindow(frequencyHz: number, dampingRatio: number, df: number): WindowHz {
  const wish = Math.max(18, 10 * dampingRatio * frequencyHz, 10 * df);
  const half = Math.max(Math.min(wish, 0.45 * frequencyHz), 6 * df);
  return { fromHz: frequencyHz - half, toHz: frequencyHz + half };
}

/** ln density, shape and bin of the usable bins of a window. */
interface Data {
  readonly log: Float64Array;
  readonly shape: Float64Array;
  readonly index: Int32Array;
}

function usableBins(average: FixedAverage, firstBin: number, bins: number): Data {
  const index: number[] = [];
  for (let i = 0; i < bins; i++) if (average.density[firstBin + i]! > 0) index.push(i);
  return {
    log: Float64Array.from(index, (i) => Math.log(average.density[firstBin + i]!)),
    shape: Float64Array.from(index, (i) => average.shape[firstBin + i]!),
    index: Int32Array.from(index),
  };
}

function makeProblem(data: Data, window: ModelWindow, starts: readonly ModeStart[], level: number): Problem {
  const count = FLOOR_PARAMETERS + PARAMETERS_PER_MODE * starts.length;
  const lower = new Float64Array(count).fill(-60);
  const upper = new Float64Array(count).fill(60);
  const priorMean = new Float64Array(count);
  const priorSd = new Float64Array(count).fill(Number.POSITIVE_INFINITY);
  const set = (p: number, low: number, high: number, mean: number, sd: number): void => {
    lower[p] = low;
    upper[p] = high;
    priorMean[p] = mean;
    priorSd[p] = sd;
  };
  set(0, level - 12, level + 12, level, Number.POSITIVE_INFINITY);
  set(1, -8, 8, 0, PRIOR.slope);
  starts.forEach((s, j) => {
    const p = FLOOR_PARAMETERS + PARAMETERS_PER_MODE * j;
    const f = Math.log(s.frequencyHz);
    const reach = Math.max(s.reachHz / s.frequencyHz, 1e-9);
    set(p, f + Math.log1p(-Math.min(reach, 0.5)), f + Math.log1p(reach), f, Number.POSITIVE_INFINITY);
    set(
      p + 1,
      Math.log(LEAST_DAMPING),
      Math.log(MOST_DAMPING),
      Math.log(PRIOR.typicalDamping),
      PRIOR.logDamping,
    );
    set(p + 2, -4, 16, 0, PRIOR.logGain);
    set(p + 3, -MOST_LEAN, MOST_LEAN, 0, PRIOR.lean);
    if (s.held) {
      const known = [f, Math.log(s.dampingRatio), Math.log(s.gain), s.lean];
      for (const [i, value] of known.entries()) set(p + i, value - 1e-6, value + 1e-6, value, 1e-6);
    }
  });
  const n = data.index.length;
  return {
    size: n,
    lower,
    upper,
    priorMean,
    priorSd,
    evaluate(theta, residual, jacobian) {
      evaluateModel(window, theta);
      for (let i = 0; i < n; i++) {
        const b = data.index[i]!;
        const r = devianceResidual(data.log[i]! - window.logModel[b]!, data.shape[i]!);
        residual[i] = r.residual;
        for (let p = 0; p < count; p++)
          jacobian[p * n + i] = -r.slope * window.jacobian[p * window.bins + b]!;
      }
    },
  };
}

function robustSquares(residual: Float64Array): number {
  let sum = 0;
  for (const r of residual) sum += Math.min(Math.abs(r), CLIP) ** 2;
  return sum;
}

function roleOf({ held, frequencyHz }: ModeStart, { fromHz, toHz }: WindowHz): Role {
  if (!held) return "free";
  return frequencyHz > fromHz && frequencyHz < toHz ? "held" : "skirt";
}

function startVector(starts: readonly ModeStart[], level: number): Float64Array {
  const theta = [level, 0];
  for (const s of starts)
    theta.push(Math.log(s.frequencyHz), Math.log(s.dampingRatio), Math.log(s.gain), s.lean);
  return Float64Array.from(theta);
}

/** N of the model at a frequency: what the skirts raise the floor by. */
function skirtAt(window: ModelWindow, frequencyHz: number): number {
  const { frequency, skirts } = window.fine;
  const share = (frequencyHz - frequency[0]!) / (frequency[frequency.length - 1]! - frequency[0]!);
  const at = Math.round(share * (skirts.length - 1));
  return Math.max(skirts[Math.min(skirts.length - 1, Math.max(0, at))]!, LEAST_SHARE);
}

function readModes(
  solution: Solution,
  starts: readonly ModeStart[],
  { scale, window }: { scale: number; window: ModelWindow },
): FittedMode[] {
  const { theta, covariance } = solution;
  const sd = (p: number): number => Math.sqrt(Math.max(covariance[p * theta.length + p]!, 0) * scale);
  return starts.map((start, j) => {
    const p = FLOOR_PARAMETERS + PARAMETERS_PER_MODE * j;
    const frequencyHz = Math.exp(theta[p]!);
    return {
      frequencyHz,
      dampingRatio: Math.exp(theta[p + 1]!),
      gain: Math.exp(theta[p + 2]!) * (start.held ? 1 : skirtAt(window, frequencyHz)),
      lean: theta[p + 3]!,
      sdHz: frequencyHz * sd(p),
      sdLogDamping: sd(p + 1),
    };
  });
}

/**
 * Fits the modes of a window together: Whittle maximum likelihood with weak priors.
 *
 * Covariance = (JᵀJ + prior)⁻¹ · 1.94 · max(1, misfit), 1.94 for the correlation of neighbouring Hann bins.
 *
 * @param average fixed spectrum of one axis
 * @param place window in Hz
 * @param starts modes to fit, none for the floor alone
 * @param level ln density of the floor to start from
 * @returns null when fewer usable bins than parameters are in the window
 */
export function fitModes(
  average: FixedAverage,
  place: WindowHz,
  starts: readonly ModeStart[],
  level: number,
): Fit | null {
  const firstBin = Math.max(1, Math.round(place.fromHz / average.df));
  const lastBin = Math.min(average.density.length - 2, Math.round(place.toHz / average.df));
  const bins = lastBin - firstBin + 1;
  if (bins < 6) return null;
  const data = usableBins(average, firstBin, bins);
  const count = FLOOR_PARAMETERS + PARAMETERS_PER_MODE * starts.length;
  if (data.index.length < count + 2) return null;
  const centreHz = ((firstBin + lastBin) / 2) * average.df;
  const narrowestHz = Math.min(...starts.map((s) => 2 * s.dampingRatio * s.frequencyHz));
  const window = modelWindow(
    { firstBin, bins, df: average.df, centreHz, narrowestHz },
    starts.map((s) => roleOf(s, place)),
  );
  const solution = levenbergMarquardt(makeProblem(data, window, starts, level), startVector(starts, level));
  const squares = robustSquares(solution.residual);
  // neighbouring bins are correlated: fewer independent ones than bins
  const free = Math.max(data.index.length - count, 1);
  const misfit = squares / free;
  return {
    modes: readModes(solution, starts, { scale: BIN_CORRELATION * Math.max(1, misfit), window }),
    cost: solution.cost,
    robustSquares: squares,
    misfit,
    window,
    theta: solution.theta,
  };
}
