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
}

/** Neighbouring bins of Hann segments share noise: Σ ρ² over the offsets, 1 + 2 (4/9 + 1/36). */
export const HANN_BIN_CORRELATION = 1 + 2 * (4 / 9 + 1 / 36);
const LEAST_POINTS = 6;

/**
 * Weighted least-squares fit of −φ = 2π (τ f + c f³): phase of a filter is odd in frequency, τ is its delay for slow
 * signals, c takes up the first bend. The interval holds the noise, widened by the bins' correlation and the misfit,
 * and beside it what the points' `bias` can move the answer.
 *
 * @param points where coherence allows, well below the corner of the filter
 * @returns null with fewer than six points
 * @see J. S. Bendat, A. G. Piersol, Random Data, section 5.2 (delay as a phase slope), 9.2 (variance of the phase)
 */
export function fitDelay(points: readonly PhasePoint[]): DelayFit | null {
  if (points.length < LEAST_POINTS) return null;
  const normal = normalEquations(points);
  if (!(normal.det > 0)) return null;
  const law = solve(normal, points, (p) => -p.phase);
  const moved = solve(normal, points, (p) => p.bias);
  const misfit = points.reduce((sum, p) => sum + (p.phase + at(law, p.hz)) ** 2 / p.variance, 0);
  const dof = points.length - 2;
  const widen = (HANN_BIN_CORRELATION * Math.max(1, misfit / dof)) / normal.det;
  const t = tQuantile(0.975, Math.max(2, dof / HANN_BIN_CORRELATION));
  const around = (value: number, variance: number, bias: number): Interval => {
    const half = t * Math.sqrt(variance) + Math.abs(bias);
    return [value - half, value + half];
  };
  return {
    delayS: law[0],
    ci95S: around(law[0], widen * normal.s22, moved[0]),
    phaseLagDeg(hz) {
      const [x1, x2] = regressors(hz);
      const variance = widen * (x1 * x1 * normal.s22 - 2 * x1 * x2 * normal.s12 + x2 * x2 * normal.s11);
      const [low, high] = around(at(law, hz), variance, at(moved, hz));
      return { value: degrees(at(law, hz)), ci95: [degrees(low), degrees(high)] };
    },
    points: points.length,
  };
}

const degrees = (rad: number): number => (rad * 180) / Math.PI;

/** τ in s, c in s per (100 Hz)². */
type Law = readonly [delay: number, bend: number];

function at([delay, bend]: Law, hz: Hertz): number {
  const [x1, x2] = regressors(hz);
  return delay * x1 + bend * x2;
}

interface Normal {
  readonly s11: number;
  readonly s12: number;
  readonly s22: number;
  readonly det: number;
}

function normalEquations(points: readonly PhasePoint[]): Normal {
  let [s11, s12, s22] = [0, 0, 0];
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
