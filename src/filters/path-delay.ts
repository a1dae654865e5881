import { coherenceThreshold } from "../spectra/coherence.js";
import type { Hertz } from "../units.js";
import { type DelayFit, fitDelay, type PhaseModel, type PhasePoint, wrapped } from "./delay-fit.js";
import { type TransferSums, transferPoint } from "./transfer.js";

/** Below this share of explained power the phase is left alone: too much of the output came from elsewhere. */
const LEAST_COHERENCE = 0.5;
/** Lowest frequency used: below it steering, wind and the window's skirt fill the bins. */
const LOWEST_HZ = 4;
/** The odd cubic describes a low-pass up to about half its corner; for Butterworth τ · corner is 0.225. */
const REACH = 0.12;
const HIGHEST_HZ = 80;
const FIRST_HIGHEST_HZ = 30;

/** A path to fit: raw to filtered gyro, or raw gyro to D-term. */
export interface PathKind {
  /** Whether the output is a derivative, whose quarter turn is taken off first. */
  readonly derivative: boolean;
  /** −1 when the log writes the D-term with the opposite sign. */
  readonly sign: 1 | -1;
  /** How far folded noise turns the phase at a frequency, rad; null when it is not known. */
  readonly turned: ((hz: Hertz, inputDensity: number) => number) | null;
  /** Share of that correction which stays in the interval as doubt. */
  readonly doubt: number;
  /** A plain filter that behaves alike; null when none does. */
  readonly model?: PhaseModel | null;
  /** How far its delay is to be doubted, s; default 0. */
  readonly doubtS?: number;
}

/** Shares of the reach at which the fit is repeated. */
const REACHES = [1, 0.7, 0.5, 0.35] as const;
/** Agreement wanted, in half-widths of the shorter fit's interval. */
const AGREE = 0.6;
/** A plain filter's answer is dropped when the phase alone contradicts it by this many half-widths (three σ). */
const CONTRADICTS = 1.5;
/** Share of the bend of a Butterworth low-pass of the same delay that a plain filter may leave (standard deviation). */
const BEND_LEFT = 0.1;

/**
 * Delay of a measured path at low frequency. Where a plain filter behaves alike, its delay, corrected by what its
 * phase leaves of the measured one; otherwise, or where the phase alone contradicts it, the slope of the phase.
 *
 * @returns null when too few bins are coherent
 */
export function pathDelay(sums: TransferSums, kind: PathKind): DelayFit | null {
  const points = phasePoints(sums, kind, HIGHEST_HZ);
  const alone = phaseAlone(points);
  const model = kind.model ?? null;
  if (alone === null || model === null) return alone;
  const helped = withHelp(points, { model, doubtS: kind.doubtS ?? 0, alone });
  if (helped === null) return alone;
  const apart = Math.abs(helped.delayS - alone.delayS);
  return apart <= CONTRADICTS * (alone.ci95S[1] - alone.delayS) ? helped : alone;
}

/** What the phase alone says that a plain filter misses of the delay, and its standard deviation, seconds. */
export function missedDelay(
  sums: TransferSums,
  kind: PathKind,
  model: PhaseModel,
): { readonly delayS: number; readonly sdS: number } | null {
  const alone = phaseAlone(phasePoints(sums, kind, HIGHEST_HZ));
  if (alone === null) return null;
  const half = (alone.ci95S[1] - alone.delayS) / 1.96;
  return { delayS: alone.delayS - model.delayS, sdS: Math.hypot(half, model.delaySdS) };
}

/**
 * Slope of the phase over coherent bins from 4 Hz up to where a cubic still describes it. That reach comes from the
 * delay itself, and is then shortened until the answer agrees, within its interval, with those of all shorter reaches:
 * a notch bends the phase sooner than a low-pass of the same delay.
 *
 * @see O. V. Lepskii, Theory Probab. Appl. 35, 1991 (choosing a bandwidth by agreement of estimates)
 */
function phaseAlone(points: readonly PhasePoint[]): DelayFit | null {
  const upTo = (hz: Hertz): DelayFit | null => fitDelay(points.filter((p) => p.hz <= hz));
  const first = upTo(FIRST_HIGHEST_HZ);
  if (first === null) return null;
  const reach = Math.min(HIGHEST_HZ, Math.max(20, REACH / Math.max(1e-4, first.delayS)));
  const fits = REACHES.map((share) => upTo(share * reach)).filter((fit) => fit !== null);
  const agree = (fit: DelayFit, shorter: DelayFit): boolean =>
    Math.abs(fit.delayS - shorter.delayS) <= AGREE * (shorter.ci95S[1] - shorter.delayS);
  return fits.find((fit, i) => fits.slice(i + 1).every((shorter) => agree(fit, shorter))) ?? first;
}

/** Frequency at which a delay that is wrong is made up for by a bend that is wrong too, over 100 Hz. */
const BALANCED_AT = 0.4;

/** The phase fitted beside a plain filter: over all coherent bins, or no further than alone where the filter is doubted. */
function withHelp(
  points: readonly PhasePoint[],
  { model, doubtS, alone }: { readonly model: PhaseModel; readonly doubtS: number; readonly alone: DelayFit },
): DelayFit | null {
  const bendSd = BEND_LEFT * bendOf(model.delayS);
  if (doubtS === 0) return fitDelay(points, { model, bendSd });
  return fitDelay(
    points.filter((p) => p.hz <= alone.toHz),
    {
      model: { ...model, delaySdS: Math.hypot(model.delaySdS, doubtS) },
      bendSd: Math.hypot(bendSd, doubtS / BALANCED_AT ** 2),
    },
  );
}

/** Bend of a second-order Butterworth low-pass, whose phase is √2 x + 0.471 x³ with x = f / corner, from its delay. */
function bendOf(delayS: number): number {
  const corner = Math.SQRT2 / (2 * Math.PI * Math.max(1e-4, delayS));
  return ((0.471 / (2 * Math.PI)) * 100 ** 2) / corner ** 3;
}

/** Coherent bins as phase points, phase relative to a pure path (derivative and sign taken off). */
export function phasePoints(sums: TransferSums, kind: PathKind, highestHz: Hertz): PhasePoint[] {
  const least = Math.max(LEAST_COHERENCE, coherenceThreshold(sums.edof, 0.001));
  const points: PhasePoint[] = [];
  for (let k = 1; k < sums.frequency.length && sums.frequency[k]! <= highestHz; k++) {
    if (sums.frequency[k]! < LOWEST_HZ) continue;
    const { hz, re, im, coherence, variance } = transferPoint(sums, k);
    if (!(coherence > least)) continue;
    // i ω turns by 90°: dividing by it maps (re, im) to (im, −re)
    const [x, y] = kind.derivative ? [im * kind.sign, -re * kind.sign] : [re * kind.sign, im * kind.sign];
    const turned = kind.turned?.(hz, sums.xx[k]!) ?? 0;
    const phase = wrapped(Math.atan2(y, x) - turned);
    points.push({ hz, phase, variance, bias: kind.doubt * turned });
  }
  return points;
}

/**
 * Sign in which a D-term is logged against +dω/dt, from its lowest coherent bins.
 *
 * @returns 1, −1, or null when nothing is coherent
 */
export function derivativeSign(sums: TransferSums): 1 | -1 | null {
  const points = phasePoints(sums, { derivative: true, sign: 1, turned: null, doubt: 0 }, FIRST_HIGHEST_HZ);
  if (points.length === 0) return null;
  const along = points.reduce((sum, p) => sum + Math.cos(p.phase) / p.variance, 0);
  return along >= 0 ? 1 : -1;
}

/** Median coherence between two frequencies; null when no bin lies there. */
export function medianCoherence(sums: TransferSums, fromHz: Hertz, toHz: Hertz): number | null {
  const seen: number[] = [];
  for (let k = 1; k < sums.frequency.length; k++) {
    if (sums.frequency[k]! >= fromHz && sums.frequency[k]! <= toHz)
      seen.push(transferPoint(sums, k).coherence);
  }
  seen.sort((a, b) => a - b);
  return seen[seen.length >> 1] ?? null;
}
