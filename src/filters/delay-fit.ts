import { tQuantile } from "../stats/t-quantile.js";
import type { Hertz, Interval } from "../units.js";

/** Phase of a measured transfer function at one frequency. */
export interface PhasePoint {
  readonly hz: Hertz;
  /** rad, negative where the output lags; not wrapped. */
  readonly phase: number;
  /** rad² */
  readonly variance: number;
  /** Bound of the error that folded noise may give, rad, the same way in all bins. */
  readonly bias: number;
}

/** Delay at low frequency and phase over a band, both with a 95 % interval. */
export interface DelayFit {
  readonly delayS: number;
  readonly ci95S: Interval;
  /** Lag at a frequency, degrees, positive where the output is late. */
  phaseLagDeg(hz: Hertz): { readonly value: number; readonly ci95: Interval };
  readonly points: number;
  /** Highest frequency used, Hz. */
  readonly toHz: Hertz;
}

/** What a filter that behaves alike would do: takes up most of the phase, so that only a remainder is left to fit. */
export interface PhaseModel {
  readonly delayS: number;
  /** Standard deviation of that delay, s. */
  readonly delaySdS: number;
  /** Lag beyond an ideal derivative where the path has one, rad; not wrapped. */
  lagRad(hz: Hertz): number;
}

/** Neighbouring bins of Hann segments share noise: Σ ρ² over the offsets, 1 + 2 (4/9 + 1/36). */
export const HANN_BIN_CORRELATION = 1 + 2 * (4 / 9 + 1 / 36);
const LEAST_POINTS = 6;

/** No model: the whole phase is fitted. */
const NO_MODEL: PhaseModel = { delayS: 0, delaySdS: Infinity, lagRad: () => 0 };

export interface DelayFitOptions {
  readonly model?: PhaseModel | undefined;
  /** Standard deviation of the bend that the model may leave, s per (100 Hz)²; default: any bend may be left. */
  readonly bendSd?: number | undefined;
}

/**
 * Weighted least-squares fit of −φ = 2π (τ f + c f³): phase of a filter is odd in frequency, τ is its delay for slow
 * signals, c takes up the first bend. With a model the fit is to what the model leaves, and c is held near nothing as
 * far as the model is trusted (a normal prior). The interval holds the noise, widened by the bins' correlation and the
 * misfit, the bend that may be left, and beside it what the points' `bias` can move the answer.
 *
 * @param points where coherence allows, well below the corner of the filter, or of what the model leaves of it
 * @returns null with fewer than six points
 * @see J. S. Bendat, A. G. Piersol, Random Data, section 5.2 (delay as a phase slope), 9.2 (variance of the phase);
 *   A. Gelman et al., Bayesian Data Analysis, section 14.8 (prior as an additional data point)
 */
export function fitDelay(points: readonly PhasePoint[], options: DelayFitOptions = {}): DelayFit | null {
  const { model = NO_MODEL, bendSd = Infinity } = options;
  if (points.length < LEAST_POINTS) return null;
  const left = points.map((p) => ({ ...p, phase: wrapped(p.phase + model.lagRad(p.hz)) }));
  const dof = left.length - 2;
  let widen = HANN_BIN_CORRELATION;
  let normal = normalEquations(left, [widen / model.delaySdS ** 2, widen / bendSd ** 2]);
  if (!(normal.det > 0)) return null;
  const misfit =
    misfitOf(
      solve(normal, left, (p) => -p.phase),
      left,
    ) / dof;
  widen = HANN_BIN_CORRELATION * Math.max(1, misfit);
  normal = normalEquations(left, [widen / model.delaySdS ** 2, widen / bendSd ** 2]);
  const law = solve(normal, left, (p) => -p.phase);
  const moved = solve(normal, left, (p) => p.bias);
  const t = tQuantile(0.975, Math.max(2, dof / HANN_BIN_CORRELATION));
  const around = (value: number, variance: number, bias: number): Interval => {
    const half = t * Math.sqrt((variance * widen) / normal.det) + Math.abs(bias);
    return [value - half, value + half];
  };
  return {
    delayS: model.delayS + law[0],
    ci95S: around(model.delayS + law[0], normal.s22, moved[0]),
    phaseLagDeg(hz) {
      const [x1, x2] = regressors(hz);
      const variance = x1 * x1 * normal.s22 - 2 * x1 * x2 * normal.s12 + x2 * x2 * normal.s11;
      const lag = model.lagRad(hz) + at(law, hz);
      const [low, high] = around(lag, variance, at(moved, hz));
      return { value: degrees(lag), ci95: [degrees(low), degrees(high)] };
    },
    points: left.length,
    toHz: Math.max(...left.map((p) => p.hz)),
  };
}

/** An angle brought into −π..π. */
export function wrapped(angle: number): number {
  return angle - 2 * Math.PI * Math.round(angle / (2 * Math.PI));
}

const degrees = (rad: number): number => (rad * 180) / Math.PI;

/** τ in s, c in s per (100 Hz)². */
type Law = readonly [delay: number, bend: number];

function at([delay, bend]: Law, hz: Hertz): number {
  const [x1, x2] = regressors(hz);
  return delay * x1 + bend * x2;
}

function misfitOf(law: Law, points: readonly PhasePoint[]): number {
  return points.reduce((sum, p) => sum + (p.phase + at(law, p.hz)) ** 2 / p.variance, 0);
}

interface Normal {
  readonly s11: number;
  readonly s12: number;
  readonly s22: number;
  readonly det: number;
}

/** @param prior what is known of delay and bend beforehand, in the units of the sums */
function normalEquations(points: readonly PhasePoint[], prior: readonly [number, number]): Normal {
  let [s11, s12, s22] = [prior[0], 0, prior[1]];
  for (const { hz, variance } of points) {
    const [x1, x2] = regressors(hz);
    s11 += (x1 * x1) / variance;
    s12 += (x1 * x2) / variance;
    s22 += (x2 * x2) / variance;
  }
  return { s11, s12, s22, det: s11 * s22 - s12 * s12 };
}

function solve(normal: Normal, points: readonly PhasePoint[], value: (p: PhasePoint) => number): Law {
  let [r1, r2] = [0, 0];
  for (const p of points) {
    const [x1, x2] = regressors(p.hz);
    r1 += (x1 * value(p)) / p.variance;
    r2 += (x2 * value(p)) / p.variance;
  }
  const { s11, s12, s22, det } = normal;
  return [(s22 * r1 - s12 * r2) / det, (s11 * r2 - s12 * r1) / det];
}

/** Both regressors in rad per s and rad per s³, the cube scaled to 100 Hz to keep the sums well conditioned. */
function regressors(hz: Hertz): readonly [number, number] {
  const w = 2 * Math.PI * hz;
  return [w, w * (hz / 100) ** 2];
}
