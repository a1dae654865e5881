import { nearestPowerOfTwo } from "../spectra/fft.js";
import { frameGrid } from "../spectra/frame-grid.js";
import { shortTimeSpectrum } from "../spectra/short-time.js";
import type { FrameGrid } from "../spectra/spectrum.js";
import { quantile } from "../stats/quantile.js";
import { select } from "../stats/select.js";
import { airborneSeconds, analysisGyro, presentAxes, type Timeline } from "../timeline/timeline.js";
import type { Axis } from "../units.js";
import type { Tone } from "./mode.js";

/** Shorter flights cannot resolve the width that tells a tone from a structure. */
const LEAST_FLIGHT_S = 24;
const LONG_S = 4;
const PERCENTILE = 0.35;
const SIDE_HZ = 6;
/** Excess of a tone over its sides, ln. */
const LEAST_EXCESS = Math.log(6);
/** Chance, over all bins of all axes, that noise makes the quiet spectrum stand out as much. */
const FALSE_ALARM = 1e-4;
/** ln by which a tone stands out in each third of the flight. */
const LEAST_THIRD = Math.log(4);
const LEAST_GAIN = 0.75 * Math.log(4);
/** Interquartile range of ln power: 1.57 for noise, less for a steady line. */
const MOST_IQR = 1.2;
/** Frames looked at, spread over the flight. */
const MOST_FRAMES = 120;
const LEAST_HZ = 7;

/** ln of the 35th time percentile of every bin, and the powers behind it. */
interface QuietSpectrum {
  readonly df: number;
  readonly bins: number;
  readonly frames: number;
  readonly log: Float64Array;
  readonly power: Float32Array;
}

function thin(grid: FrameGrid): FrameGrid {
  const step = Math.ceil(grid.starts.length / MOST_FRAMES);
  return step <= 1 ? grid : { ...grid, starts: grid.starts.filter((_, i) => i % step === 0) };
}

function quietSpectrum(
  timeline: Timeline,
  series: Float32Array,
  segmentLength: number,
): QuietSpectrum | null {
  const { sampleRate, airborne, valid } = timeline;
  const grid = thin(frameGrid(airborne, { sampleRate, segmentLength, hop: segmentLength / 2 }, valid));
  const frames = grid.starts.length;
  if (frames < 8) return null;
  const { power, bins } = shortTimeSpectrum(series, grid);
  const log = new Float64Array(bins);
  const column = new Float64Array(frames);
  for (let b = 0; b < bins; b++) {
    for (let k = 0; k < frames; k++) column[k] = power[k * bins + b]!;
    log[b] = Math.log(select(column, Math.floor(PERCENTILE * (frames - 1))) + 1e-30);
  }
  return { df: sampleRate / segmentLength, bins, frames, log, power };
}

/** Median ln level of the bins 1.5 … 6 Hz away on either side. */
function sides(s: QuietSpectrum, bin: number): number {
  const inner = Math.round(1.5 / s.df);
  const outer = Math.round(SIDE_HZ / s.df);
  const values: number[] = [];
  for (let d = inner; d <= outer; d++)
    values.push(s.log[bin - d] ?? Number.NaN, s.log[bin + d] ?? Number.NaN);
  return quantile(values, 0.5);
}

/** Median ln level of the bins 3 … 8 away on either side: flat under a mode, far below a tone. */
function nearSides(log: Float64Array, bin: number): number {
  const values: number[] = [];
  for (let d = 3; d <= 8; d++) values.push(log[bin - d] ?? Number.NaN, log[bin + d] ?? Number.NaN);
  return quantile(values, 0.5);
}

/** Whether the line stands out in every third of the flight. */
function inEveryThird(s: QuietSpectrum, bin: number): boolean {
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
function steadiness(s: QuietSpectrum, bin: number): number {
  const values = new Float64Array(s.frames);
  for (let k = 0; k < s.frames; k++) {
    const row = k * s.bins + bin;
    values[k] = Math.log(s.power[row - 1]! + s.power[row]! + s.power[row + 1]! + 1e-30);
  }
  return quantile(values, 0.75) - quantile(values, 0.25);
}

/** Frequency of a line between bins: parabola through the ln powers. */
function parabolic(s: QuietSpectrum, bin: number): number {
  const [a, b, c] = [s.log[bin - 1]!, s.log[bin]!, s.log[bin + 1]!];
  const bend = a - 2 * b + c;
  return (bin + (bend < 0 ? (0.5 * (a - c)) / bend : 0)) * s.df;
}

/** A mode gains nothing in height from longer frames; a tone gains their ratio. */
function heightGain(long: QuietSpectrum, short: QuietSpectrum, bin: number): number {
  const at = Math.round((bin * long.df) / short.df);
  const top = Math.max(short.log[at - 1]!, short.log[at]!, short.log[at + 1]!);
  return long.log[bin]! - top;
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
  const level = -Math.log(1 - PERCENTILE) * Math.exp(excess);
  const above = frames - Math.floor(PERCENTILE * (frames - 1));
  return binomialTail(frames, above, Math.exp(-level));
}

function isTone(long: QuietSpectrum, short: QuietSpectrum, bin: number): boolean {
  const top = long.log[bin]!;
  if (!(top > long.log[bin - 1]! && top >= long.log[bin + 1]!)) return false;
  const excess = top - sides(long, bin);
  if (!(excess > LEAST_EXCESS)) return false;
  const near = top - nearSides(long.log, bin);
  if (3 * long.bins * chanceOfNoise(near, long.frames) > FALSE_ALARM || !inEveryThird(long, bin))
    return false;
  const drop = top - Math.max(long.log[bin - 3]!, long.log[bin + 3]!);
  if (drop <= Math.min(2, 0.8 * excess)) return false;
  return heightGain(long, short, bin) > LEAST_GAIN && steadiness(long, bin) < MOST_IQR;
}

/**
 * Frequencies of the steady lines of one series.
 *
 * @param timeline clock and parts to use
 * @param series finite where valid
 * @param frameS length of the long frames, s; eight of them at least must fit, half overlapped
 * @returns Hz, rising; none when the frames do not fit
 */
export function steadyLines(timeline: Timeline, series: Float32Array, frameS: number): number[] {
  const rate = timeline.sampleRate;
  const long = quietSpectrum(timeline, series, nearestPowerOfTwo(frameS * rate));
  const short = quietSpectrum(timeline, series, nearestPowerOfTwo((frameS / 4) * rate));
  if (long === null || short === null) return [];
  const found: number[] = [];
  const edge = Math.ceil(SIDE_HZ / long.df);
  for (let b = Math.max(edge, Math.ceil(LEAST_HZ / long.df)); b < long.bins - 4; b++) {
    if (isTone(long, short, b)) found.push(parabolic(long, b));
  }
  return found;
}

/**
 * Fixed lines narrower than any structure: peaks of the quiet (35th percentile) spectrum at 4 s frames that are a
 * bin wide, grow with the frame length, and keep a steady power over time.
 *
 * @param timeline the flight
 * @param isLine whether a frequency lies on a line of what turns (those are not tones)
 * @returns by rising frequency; none for flights under 24 s
 * @see method note, measured on simulated flights
 */
export function findTones(timeline: Timeline, isLine: (hz: number) => boolean): Tone[] {
  if (airborneSeconds(timeline) < LEAST_FLIGHT_S) return [];
  const { series } = analysisGyro(timeline);
  const tones: { frequencyHz: number; axes: Axis[] }[] = [];
  for (const axis of presentAxes(series)) {
    for (const hz of steadyLines(timeline, series[axis]!, LONG_S)) {
      if (isLine(hz)) continue;
      const known = tones.find((t) => Math.abs(t.frequencyHz - hz) < 0.5);
      if (known === undefined) tones.push({ frequencyHz: hz, axes: [axis] });
      else known.axes.push(axis);
    }
  }
  tones.sort((a, b) => a.frequencyHz - b.frequencyHz);
  return tones.map((t) => ({ ...t, foldedFromHz: null }));
}
