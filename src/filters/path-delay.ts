import { coherenceThreshold } from "../spectra/coherence.js";
import type { Hertz } from "../units.js";
import { type DelayFit, fitDelay, type PhasePoint } from "./delay-fit.js";
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
}

/** Shares of the reach at which the fit is repeated. */
const REACHES = [1, 0.7, 0.5, 0.35] as const;
/** Agreement wanted, in half-widths of the shorter fit's interval. */
const AGREE = 0.6;

/**
 * Delay of a measured path at low frequency: fitted over coherent bins from 4 Hz up to where a cubic still describes
 * the phase. That reach comes from the delay itself, and is then shortened until the answer agrees, within its
 * interval, with those of all shorter reaches: a notch bends the phase sooner than a low-pass of the same delay.
 *
 * @returns null when too few bins are coherent
 * @see O. V. Lepskii, Theory Probab. Appl. 35, 1991 (choosing a bandwidth by agreement of estimates)
 */
export function pathDelay(sums: TransferSums, kind: PathKind): DelayFit | null {
  const points = phasePoints(sums, kind, HIGHEST_HZ);
  const upTo = (hz: Hertz): DelayFit | null => fitDelay(points.filter((p) => p.hz <= hz));
  const first = upTo(FIRST_HIGHEST_HZ);
  if (first === null) return null;
  const reach = Math.min(HIGHEST_HZ, Math.max(20, REACH / Math.max(1e-4, first.delayS)));
  const fits = REACHES.map((share) => upTo(share * reach)).filter((fit) => fit !== null);
  const agree = (fit: DelayFit, shorter: DelayFit): boolean =>
    Math.abs(fit.delayS - shorter.delayS) <= AGREE * (shorter.ci95S[1] - shorter.delayS);
  return fits.find((fit, i) => fits.slice(i + 1).every((shorter) => agree(fit, shorter))) ?? first;
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

/** An angle brought into −π..π. */
function wrapped(angle: number): number {
  return angle - 2 * Math.PI * Math.round(angle / (2 * Math.PI));
}
