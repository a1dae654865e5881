import { nearestPowerOfTwo } from "../spectra/fft.js";
import { quantile } from "../stats/quantile.js";
import { airborneSeconds, analysisGyro, presentAxes, type Timeline } from "../timeline/timeline.js";
import type { Axis } from "../units.js";
import type { Tone } from "./mode.js";
import {
  QUIET_PERCENTILE,
  type QuietBand,
  quietBand,
  searchDrifts,
  type TonePlane,
  tonePlane,
} from "./tone-plane.js";

/** Shorter flights cannot resolve the width that tells a tone from a structure. */
const LEAST_FLIGHT_S = 24;
const LONG_S = 4;
const SIDE_HZ = 6;
/** Excess of a tone over its sides, ln. */
const LEAST_EXCESS = Math.log(6);
/** Mean ln power over the sides from which a place is looked at closely. */
const PROMISING = 1;
/** Chance, over all bins, drifts and axes, that noise makes the quiet spectrum stand out as much. */
const FALSE_ALARM = 1e-4;
/** ln by which a tone stands out in each third of the flight. */
const LEAST_THIRD = Math.log(4);
const LEAST_GAIN = 0.75 * Math.log(4);
/**
 * Interquartile range of ln power: 1.57 for noise. What a steady line's noise leaves falls with its height (deviation
 * of ln power √(2/SNR)); a light mode in few frames stands as high but does not settle.
 */
const MOST_IQR = { ever: 1.2, own: 0.4, noise: 2.4 };
const LEAST_HZ = 7;
/**
 * Clocks and fans drift as they warm: a tone may move this far over a flight, in a straight line (common practice, no
 * source).
 */
const MOST_DRIFT_HZ = 2;
/** Lines closer than this are one, Hz. */
const SAME_HZ = 0.5;

/** A steady line: where at mid-flight, and how far it moves over the flight. */
export interface SteadyLine {
  readonly frequencyHz: number;
  readonly driftHz: number;
}

/** Median ln level of the bins 1.5 … 6 Hz away on either side. */
function sides(log: Float64Array, df: number, bin: number): number {
  const inner = Math.round(1.5 / df);
  const outer = Math.round(SIDE_HZ / df);
  const values: number[] = [];
  for (let d = inner; d <= outer; d++) values.push(log[bin - d] ?? Number.NaN, log[bin + d] ?? Number.NaN);
  return quantile(values, 0.5);
}

/** Median ln level of the bins 3 … 8 away on either side: flat under a mode, far below a tone. */
function nearSides(log: Float64Array, bin: number): number {
  const values: number[] = [];
  for (let d = 3; d <= 8; d++) values.push(log[bin - d] ?? Number.NaN, log[bin + d] ?? Number.NaN);
  return quantile(values, 0.5);
}

/** Whether the line stands out in every third of the flight. */
function inEveryThird(s: QuietBand, bin: number): boolean {
  const mean = (from: number, to: number, at: number): number => {
    let sum = 0;
    for (let k = from; k < to; k++) sum += s.power[k * s.bins + at]!;
    return Math.log(sum / (to - from) + 1e-30);
  };
  return [0, 1, 2].every((third) => {
    const from = Math.floor((third * s.frames) / 3);
    const to = Math.floor(((third + 1) * s.frames) / 3);
    const around = [-8, -7, -6, -5, -4, 4, 5, 6, 7, 8].map((d) => mean(from, to, bin + d));
    return mean(from, to, bin) > quantile(around, 0.5) + LEAST_THIRD;
  });
}

/** Spread over time of ln power at a bin (with its neighbours, which share a line's power). */
function steadiness(s: QuietBand, bin: number): number {
  const values = new Float64Array(s.frames);
  for (let k = 0; k < s.frames; k++) {
    const row = k * s.bins + bin;
    values[k] = Math.log(s.power[row - 1]! + s.power[row]! + s.power[row + 1]! + 1e-30);
  }
  return quantile(values, 0.75) - quantile(values, 0.25);
}

/** Frequency of a line between bins: parabola through the ln powers. */
function parabolic(s: QuietBand, bin: number): number {
  const [a, b, c] = [s.log[bin - 1]!, s.log[bin]!, s.log[bin + 1]!];
  const bend = a - 2 * b + c;
  return (s.firstBin + bin + (bend < 0 ? (0.5 * (a - c)) / bend : 0)) * s.df;
}

/**
 * P(X ≥ k) of a binomial variable: n tries of chance p.
 *
 * @example binomialTail(2, 1, 0.5) // 0.75
 */
export function binomialTail(n: number, k: number, p: number): number {
  let term = (1 - p) ** n;
  let above = 0;
  for (let i = 0; i <= n; i++) {
    if (i >= k) above += term;
    term *= ((n - i) / (i + 1)) * (p / (1 - p));
  }
  return above;
}

/**
 * Chance that a bin of exponential noise has its quiet percentile this far (ln) above where it belongs: most of its
 * frames would have to lie above that level.
 */
function chanceOfNoise(excess: number, frames: number): number {
  const level = -Math.log(1 - QUIET_PERCENTILE) * Math.exp(excess);
  const above = frames - Math.floor(QUIET_PERCENTILE * (frames - 1));
  return binomialTail(frames, above, Math.exp(-level));
}

/** Whether a bin of the long frames holds a steady line: a bin wide, there in every third, no stronger at times. */
function standsOut(long: QuietBand, bin: number, tries: number): boolean {
  const top = long.log[bin]!;
  if (!(top > long.log[bin - 1]! && top >= long.log[bin + 1]!)) return false;
  const excess = top - sides(long.log, long.df, bin);
  if (!(excess > LEAST_EXCESS)) return false;
  const near = top - nearSides(long.log, bin);
  if (tries * chanceOfNoise(near, long.frames) > FALSE_ALARM || !inEveryThird(long, bin)) return false;
  const drop = top - Math.max(long.log[bin - 3]!, long.log[bin + 3]!);
  const mostIqr = Math.min(MOST_IQR.ever, MOST_IQR.own + MOST_IQR.noise * Math.exp(-near / 2));
  return drop > Math.min(2, 0.8 * excess) && steadiness(long, bin) < mostIqr;
}

/** Long frames and frames a quarter as long. */
interface Planes {
  readonly long: TonePlane;
  readonly short: TonePlane;
}

/** A mode gains nothing in height from longer frames; a tone gains their ratio. */
function heightGain({ short }: Planes, long: QuietBand, at: { bin: number; driftHz: number }): number {
  const near = Math.round(((long.firstBin + at.bin) * long.df) / short.df);
  const { log } = quietBand(short, [near - 1, near + 2], at.driftHz);
  return long.log[at.bin]! - Math.max(...log);
}

/** The line at a promising place, or null when it is none. */
function lineAt(planes: Planes, at: { bin: number; driftHz: number }, tries: number): SteadyLine | null {
  const { bin, driftHz } = at;
  const { long } = planes;
  const reach = Math.ceil(SIDE_HZ / long.df);
  const band = quietBand(long, [bin - reach, bin + reach + 1], driftHz);
  if (!standsOut(band, reach, tries)) return null;
  if (!(heightGain(planes, band, { bin: reach, driftHz }) > LEAST_GAIN)) return null;
  return { frequencyHz: parabolic(band, reach), driftHz };
}

/** Drifts to try, none first, a bin apart. */
function driftsToTry(df: number): number[] {
  const drifts = [0];
  for (let hz = df; hz <= MOST_DRIFT_HZ; hz += df) drifts.push(hz, -hz);
  return drifts;
}

/**
 * Steady lines of one series: peaks of the quiet (35th percentile) spectrum that are a bin wide along some straight
 * drift, grow with the frame length, and keep a steady power over time.
 *
 * @param timeline clock and parts to use
 * @param series finite where valid
 * @param frameS length of the long frames, s; eight of them at least must fit, half overlapped
 * @returns by rising frequency; none when the frames do not fit
 */
export function steadyLines(timeline: Timeline, series: Float32Array, frameS: number): SteadyLine[] {
  const rate = timeline.sampleRate;
  const long = tonePlane(timeline, series, nearestPowerOfTwo(frameS * rate));
  const short = tonePlane(timeline, series, nearestPowerOfTwo((frameS / 4) * rate));
  if (long === null || short === null) return [];
  const drifts = driftsToTry(long.df);
  const { level, driftHz } = searchDrifts(long, drifts);
  const tries = 3 * long.bins * drifts.length;
  const found: (SteadyLine & { level: number })[] = [];
  const edge = Math.ceil(SIDE_HZ / long.df);
  for (let b = Math.max(edge, Math.ceil(LEAST_HZ / long.df)); b < long.bins - edge; b++) {
    if (!(level[b]! >= level[b - 1]! && level[b]! > level[b + 1]!)) continue;
    if (level[b]! - sides(level, long.df, b) < PROMISING) continue;
    const line = lineAt({ long, short }, { bin: b, driftHz: driftHz[b]! }, tries);
    if (line !== null) found.push({ ...line, level: level[b]! });
  }
  return strongestApart(found).sort((a, b) => a.frequencyHz - b.frequencyHz);
}

/** Of lines that are one (seen along crossing drifts) the strongest. */
function strongestApart(lines: (SteadyLine & { level: number })[]): SteadyLine[] {
  const kept: SteadyLine[] = [];
  for (const { frequencyHz, driftHz } of lines.sort((a, b) => b.level - a.level)) {
    const reach = SAME_HZ + Math.abs(driftHz) / 2;
    if (kept.every((k) => Math.abs(k.frequencyHz - frequencyHz) > reach)) kept.push({ frequencyHz, driftHz });
  }
  return kept;
}

/** A tone, and how far it moves over the flight, Hz. */
export interface FoundTone extends Tone {
  readonly driftHz: number;
}

/**
 * Fixed lines narrower than any structure, drifting a little perhaps.
 *
 * @param timeline the flight
 * @param isLine whether a line lies on one of what turns (those are not tones)
 * @returns by rising frequency; none for flights under 24 s
 * @see method note, measured on simulated flights
 */
export function findTones(timeline: Timeline, isLine: (line: SteadyLine) => boolean): FoundTone[] {
  if (airborneSeconds(timeline) < LEAST_FLIGHT_S) return [];
  const { series } = analysisGyro(timeline);
  const tones: { frequencyHz: number; driftHz: number; axes: Axis[] }[] = [];
  for (const axis of presentAxes(series)) {
    for (const line of steadyLines(timeline, series[axis]!, LONG_S)) {
      if (isLine(line)) continue;
      const known = tones.find((t) => Math.abs(t.frequencyHz - line.frequencyHz) < SAME_HZ);
      if (known === undefined) tones.push({ ...line, axes: [axis] });
      else known.axes.push(axis);
    }
  }
  tones.sort((a, b) => a.frequencyHz - b.frequencyHz);
  return tones.map((t) => ({ ...t, foldedFromHz: null }));
}
