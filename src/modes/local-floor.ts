import { select } from "../stats/select.js";
import { BIN_CORRELATION } from "./masked-average.js";

/** Local broadband floor in ln units, and its relative variance. */
export interface LocalFloor {
  /** ln density per bin; NaN where it cannot be told. */
  readonly level: Float64Array;
  /** Variance of `level`. */
  readonly variance: Float64Array;
}

const PERCENTILE = 0.3;
/** Normal quantile of 0.3. */
const NORMAL_30 = -0.5244;
/** Variance of a normal sample's 30th percentile: p (1 − p) / φ(z)², per sample and unit variance. */
const PERCENTILE_VARIANCE = 0.21 / 0.3477 ** 2;
const LEAST_HALF_HZ = 15;
const HALF_SHARE = 0.22;
const LEAST_BINS = 6;

/**
 * ln of the 30 % quantile of a unit-mean gamma variable of shape k, by Wilson and Hilferty's cube-root normal.
 *
 * @see E. B. Wilson, M. M. Hilferty, PNAS 17, 1931
 * @example logQuantile30(1e6) // ≈ 0: with many averages the quantile is the mean
 */
export function logQuantile30(shape: number): number {
  const root = 1 - 1 / (9 * shape) + NORMAL_30 / (3 * Math.sqrt(shape));
  return 3 * Math.log(Math.max(root, 1e-3));
}

/** 30th percentile of the finite values of a stretch and how many there were. */
function percentile(log: Float64Array, from: number, to: number, scratch: Float64Array): [number, number] {
  let count = 0;
  for (let b = Math.max(1, from); b < Math.min(log.length, to); b++) {
    if (Number.isFinite(log[b]!)) scratch[count++] = log[b]!;
  }
  if (count < LEAST_BINS) return [Number.NaN, count];
  return [select(scratch, Math.floor(PERCENTILE * (count - 1)), count), count];
}

/**
 * Floor around every bin: mean of the 30th percentiles of ln density in the half-windows left and right of it
 * (each max(15 Hz, 22 % of f) long), raised by what the percentile of gamma statistics lies below the mean.
 * Peaks narrower than about half a window do not lift it; a slope cancels between the halves.
 *
 * @param log ln density per bin, NaN where unknown
 * @param shape gamma shape per bin
 * @param df bin spacing, Hz
 * @see method note, measured on simulated flights
 */
export function localFloor(log: Float64Array, shape: Float64Array, df: number): LocalFloor {
  const bins = log.length;
  const level = new Float64Array(bins).fill(Number.NaN);
  const variance = new Float64Array(bins).fill(Number.NaN);
  const scratch = new Float64Array(bins);
  const step = Math.max(1, Math.round(2 / df));
  let last = -1;
  for (let b = 1; b < bins; b = b === bins - 1 ? bins : Math.min(b + step, bins - 1)) {
    const half = Math.max(LEAST_HALF_HZ, HALF_SHARE * b * df) / df;
    const [left, nLeft] = percentile(log, Math.round(b - half), b, scratch);
    const [right, nRight] = percentile(log, b + 1, Math.round(b + half) + 1, scratch);
    const sides = [left, right].filter(Number.isFinite);
    if (sides.length === 0) {
      last = -1;
      continue;
    }
    const k = typicalShape(shape, b, half);
    level[b] = sides.reduce((s, v) => s + v, 0) / sides.length - logQuantile30(k);
    const independent = (nLeft + nRight) / BIN_CORRELATION;
    variance[b] = PERCENTILE_VARIANCE / (k * independent);
    if (last >= 0) fillBetween(level, variance, last, b);
    last = b;
  }
  return { level, variance };
}

/** Mean gamma shape of the usable bins near b. */
function typicalShape(shape: Float64Array, b: number, half: number): number {
  let sum = 0;
  let count = 0;
  for (let i = Math.max(1, Math.round(b - half)); i <= Math.min(shape.length - 1, b + half); i++) {
    if (shape[i]! < 3) continue;
    sum += shape[i]!;
    count++;
  }
  return count > 0 ? sum / count : 3;
}

function fillBetween(level: Float64Array, variance: Float64Array, from: number, to: number): void {
  for (let b = from + 1; b < to; b++) {
    const t = (b - from) / (to - from);
    level[b] = (1 - t) * level[from]! + t * level[to]!;
    variance[b] = (1 - t) * variance[from]! + t * variance[to]!;
  }
}
