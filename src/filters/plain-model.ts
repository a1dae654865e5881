import { levenbergMarquardt, type Problem, type Solution } from "../modes/levenberg-marquardt.js";
import type { Hertz } from "../units.js";
import type { FilterStep } from "./chain.js";
import { chainDelayMs } from "./dc-delay.js";
import { type Family, type Place, sectionsAt, stepsOf } from "./family.js";
import type { ResponseTable, TableResponse } from "./response-table.js";
import type { Section } from "./section.js";
import type { TransferPoint } from "./transfer.js";

/** A measured transfer function, and what is known of how it came about. */
export interface Measured {
  readonly points: readonly TransferPoint[];
  /** Share of the raw gyro's density at every point that folded down, if its floor is white up to half the loop rate. */
  readonly shares: readonly number[];
  readonly table: ResponseTable;
  readonly loopRate: Hertz;
  readonly derivative: boolean;
  /** Filters already known on the path. */
  readonly before: readonly Section[];
  /** How much of those shares really folded: mean and standard deviation of what is known beforehand. */
  readonly whiteness: Whiteness;
}

/** Share of the white floor assumed above the log's Nyquist that is really there. */
export interface Whiteness {
  readonly mean: number;
  readonly sd: number;
}

/** A family fitted. */
export interface Fitted {
  readonly family: Family;
  readonly steps: readonly FilterStep[];
  readonly places: readonly Place[];
  /** Robust sum of squares over the points, prior on whiteness included; twice a negative log-likelihood. */
  readonly cost: number;
  /** Gain besides the filter; 1 where there is no derivative. */
  readonly gain: number;
  /** Standard deviation of the gain over the gain. */
  readonly gainSd: number;
  readonly whiteness: Whiteness;
  /** Standard deviation of the delay of slow signals, s; chance and misfit. */
  readonly delaySdS: number;
  readonly relative: Float64Array;
}

/** No plain filter describes a real path better than this; keeps a few perfect bins from ruling. */
const MODEL_ERROR = 0.03;
const CORNER = [Math.log(12), Math.log(1600)] as const;
const CENTRE = [Math.log(35), Math.log(800)] as const;
const QUALITY = [Math.log(0.7), Math.log(12)] as const;
const WHITENESS = [0, 1.3] as const;
const GAIN = [-30, 30] as const;
/** Step of the numerical derivatives, in logarithms and shares. */
const STEP = 1e-4;

/** Response at every point of a path with gain 1, as a thinned log shows it, in three parts: own, folded less own. */
function partsOf(measured: Measured, steps: readonly FilterStep[]): TableResponse {
  const own = sectionsAt(steps, measured.loopRate);
  return measured.table.respond([...measured.before, ...own], measured.derivative);
}

/** Weighted gain of least squares at a shape, whiteness as expected: a start for the fit. */
export function rough(measured: Measured, steps: readonly FilterStep[]): { gain: number; cost: number } {
  const { points, shares, whiteness, derivative } = measured;
  const { own, folded } = partsOf(measured, steps);
  const re = new Float64Array(points.length);
  const im = new Float64Array(points.length);
  let [cross, square] = [0, 0];
  points.forEach((p, i) => {
    const share = shareAt(shares[i]!, whiteness.mean);
    re[i] = own.re[i]! + share * (folded.re[i]! - own.re[i]!);
    im[i] = own.im[i]! + share * (folded.im[i]! - own.im[i]!);
    const weight = 1 / (sizeOf(p) ** 2 * errorOf(p) ** 2);
    cross += weight * (p.re * re[i]! + p.im * im[i]!);
    square += weight * (re[i]! ** 2 + im[i]! ** 2);
  });
  const gain = derivative ? cross / square : 1;
  let cost = 0;
  points.forEach((p, i) => {
    const off = ((p.re - gain * re[i]!) ** 2 + (p.im - gain * im[i]!) ** 2) / (sizeOf(p) * errorOf(p)) ** 2;
    cost += 2 * 9 * (Math.sqrt(1 + off / 9) - 1);
  });
  return { gain, cost };
}

const sizeOf = (p: TransferPoint): number => Math.hypot(p.re, p.im);
const errorOf = (p: TransferPoint): number => Math.sqrt(p.variance + MODEL_ERROR ** 2);
const shareAt = (share: number, whiteness: number): number => Math.min(0.97, share * whiteness);

/**
 * Fits one family by robust least squares: corners, notches, gain, and the share of the floor that folded down.
 *
 * @param start a place for every part
 * @see `levenbergMarquardt`
 */
export function fitFamily(measured: Measured, family: Family, start: readonly Place[]): Fitted {
  const { points, derivative } = measured;
  const first = rough(measured, stepsOf(family, start));
  const sign = Math.sign(first.gain) || 1;
  const free = freeOf(measured, family, { places: start, gain: first.gain });
  const unpack = (theta: ArrayLike<number>): Unpacked => unpacked(theta, family, derivative ? sign : null);
  const partsAt = (theta: ArrayLike<number>): TableResponse =>
    partsOf(measured, stepsOf(family, unpack(theta).places));
  const residualAt = (theta: ArrayLike<number>, parts: TableResponse, out: Float64Array): void =>
    residualOf(measured, parts, { ...unpack(theta), out });
  const solution = levenbergMarquardt(
    problemOf(free, { size: 2 * points.length, partsAt, residualAt, linear: derivative ? 2 : 1 }),
    Float64Array.from(free, (f) => f.start),
  );
  const { theta, cost, residual } = solution;
  const found = unpack(theta);
  const sdOf = spreadOf(solution, 2 * points.length);
  const delayAt = (at: ArrayLike<number>): number =>
    chainDelayMs(sectionsAt(stepsOf(family, unpack(at).places), measured.loopRate), measured.loopRate) / 1000;
  const slope = Float64Array.from(free, (_, p) => (delayAt(nudged(theta, p)) - delayAt(theta)) / STEP);
  const along = (p: number): Float64Array => Float64Array.from(free, (_, other) => (other === p ? 1 : 0));
  return {
    family,
    places: found.places,
    steps: stepsOf(family, found.places),
    cost,
    gain: found.gain,
    gainSd: derivative ? sdOf(along(1)) : 0,
    whiteness: { mean: found.whiteness, sd: sdOf(along(0)) },
    delaySdS: sdOf(slope),
    relative: Float64Array.from(
      points,
      (p, i) => Math.hypot(residual[2 * i]!, residual[2 * i + 1]!) * errorOf(p),
    ),
  };
}

/** A parameter: a logarithm, or a share. */
interface Free {
  readonly start: number;
  readonly bounds: readonly [number, number];
  readonly prior?: Whiteness;
}

/** Whiteness first, then a derivative's gain, then the parts. */
function freeOf(
  { whiteness, derivative }: Measured,
  family: Family,
  start: { readonly places: readonly Place[]; readonly gain: number },
): Free[] {
  return [
    { start: whiteness.mean, bounds: WHITENESS, prior: whiteness },
    ...(derivative ? [{ start: Math.log(Math.abs(start.gain) || 1), bounds: GAIN }] : []),
    ...family.flatMap((part, i): Free[] => {
      const { hz, q } = start.places[i]!;
      if (part !== "notch") return [{ start: Math.log(hz), bounds: CORNER }];
      return [
        { start: Math.log(hz), bounds: CENTRE },
        { start: Math.log(q), bounds: QUALITY },
      ];
    }),
  ];
}

/** @param sign of a derivative's gain; null where there is none and the gain is 1 */
function unpacked(theta: ArrayLike<number>, family: Family, sign: number | null): Unpacked {
  let p = sign === null ? 1 : 2;
  const places = family.map((part): Place => {
    const hz = Math.exp(theta[p++]!);
    return { hz, q: part === "notch" ? Math.exp(theta[p++]!) : 1 };
  });
  return { whiteness: theta[0]!, gain: sign === null ? 1 : sign * Math.exp(theta[1]!), places };
}

interface Unpacked {
  readonly places: readonly Place[];
  readonly gain: number;
  readonly whiteness: number;
}

function residualOf(
  { points, shares }: Measured,
  { own, folded }: TableResponse,
  { gain, whiteness, out }: Unpacked & { readonly out: Float64Array },
): void {
  for (let i = 0; i < points.length; i++) {
    const p = points[i]!;
    const share = shareAt(shares[i]!, whiteness);
    const scale = sizeOf(p) * errorOf(p);
    out[2 * i] = (gain * (own.re[i]! + share * (folded.re[i]! - own.re[i]!)) - p.re) / scale;
    out[2 * i + 1] = (gain * (own.im[i]! + share * (folded.im[i]! - own.im[i]!)) - p.im) / scale;
  }
}

function nudged(theta: ArrayLike<number>, p: number): Float64Array {
  const moved = Float64Array.from(theta);
  moved[p] = moved[p]! + STEP;
  return moved;
}

interface ProblemParts {
  readonly size: number;
  /** Responses at some parameters; the first `linear` of them do not enter. */
  partsAt(theta: ArrayLike<number>): TableResponse;
  residualAt(theta: ArrayLike<number>, parts: TableResponse, out: Float64Array): void;
  readonly linear: number;
}

function problemOf(free: readonly Free[], { size, partsAt, residualAt, linear }: ProblemParts): Problem {
  const shifted = new Float64Array(size);
  return {
    size,
    evaluate(theta, residual, jacobian) {
      const parts = partsAt(theta);
      residualAt(theta, parts, residual);
      free.forEach((_, p) => {
        const moved = nudged(theta, p);
        residualAt(moved, p < linear ? parts : partsAt(moved), shifted);
        for (let i = 0; i < size; i++) jacobian[p * size + i] = (shifted[i]! - residual[i]!) / STEP;
      });
    },
    lower: Float64Array.from(free, (f) => f.bounds[0]),
    upper: Float64Array.from(free, (f) => f.bounds[1]),
    priorMean: Float64Array.from(free, (f) => f.prior?.mean ?? 0),
    priorSd: Float64Array.from(free, (f) => f.prior?.sd ?? Infinity),
  };
}

/** Standard deviation of what depends on the parameters as a gradient says; chance, widened by the misfit. */
function spreadOf({ theta, cost, covariance }: Solution, size: number): (gradient: Float64Array) => number {
  const count = theta.length;
  const widen = Math.max(1, cost / Math.max(1, size - count));
  return (gradient) => {
    let variance = 0;
    for (let p = 0; p < count; p++) {
      for (let q = 0; q < count; q++) variance += gradient[p]! * gradient[q]! * covariance[p * count + q]!;
    }
    return Math.sqrt(Math.max(0, variance) * widen);
  };
}
