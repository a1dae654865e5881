import { frameGrid } from "../spectra/frame-grid.js";
import { shortTimeSpectrum } from "../spectra/short-time.js";
import type { FrameGrid } from "../spectra/spectrum.js";
import { quantileInPlace } from "../stats/quantile.js";
import { analysisGyro, presentAxes, type Timeline } from "../timeline/timeline.js";
import type { Hertz, Seconds } from "../units.js";

/** ln-level that separates the 40th percentile of an exponential law from its mean: −ln(−ln 0.6). */
const LN_MEAN_OVER_P40 = 0.67;
/** Frames and bins by which the common level of the frames is told: medians of so many are sure enough. */
const BASE_FRAMES = 80;
const LEVEL_BINS = 400;

/**
 * Where lines stand out of what is fixed: for every frame and frequency the log-level above the level that this
 * frequency has at other times (`moving`) or above its neighbours (`standing`), averaged over axes.
 */
export interface LineMap {
  readonly grid: FrameGrid;
  /** frames × bins, natural log units, about 0 where there is no line. */
  readonly level: Float32Array;
  /** Below this shown frequency nothing is read: the craft's own motion lives there, Hz. */
  readonly lowestHz: Hertz;
  readonly axes: number;
}

export interface LineMapOptions {
  /** Frame length aimed at; the next power of two samples is taken. */
  readonly frameS: Seconds;
  /** At most so many frames, spread evenly over the flight. */
  readonly frames: number;
  /** Whether lines move over the flight (whiten over time) or stand (whiten over frequency). */
  readonly whiten: "moving" | "standing";
  /** Bounds of the whitened level before averaging, natural log units. */
  readonly clip: readonly [number, number];
}

/**
 * Builds the map. Whitening over time removes everything fixed (modes, tones, floor) and leaves what moves; when
 * lines stand still that would remove them too, so a floor smooth over frequency is taken off instead.
 *
 * @returns null when there is no gyro or fewer than 8 frames fit
 */
export function lineMap(timeline: Timeline, options: LineMapOptions): LineMap | null {
  const { series } = analysisGyro(timeline);
  const axes = presentAxes(series);
  const grid = sparseGrid(timeline, options.frameS, options.frames);
  if (axes.length === 0 || grid.starts.length < 8) return null;
  const logs = axes.map((axis) => logPower(series[axis]!, grid));
  const bases = logs.map((log) => binQuantile(log, grid, { q: 0.5, most: BASE_FRAMES }));
  const frameLevel = commonLevel(logs, bases, grid);
  const level = new Float32Array(logs[0]!.length);
  for (const log of logs) addWhitened(level, log, { grid, frameLevel, options });
  for (let i = 0; i < level.length; i++) level[i] = level[i]! / axes.length;
  subtractMedian(level);
  return { grid, level, lowestHz: lowestReadable(grid), axes: axes.length };
}

/** Two and a half bins of the Hann main lobe above attitude motion, at least 7 Hz. */
function lowestReadable(grid: FrameGrid): Hertz {
  return Math.max(7, (4.5 * grid.sampleRate) / grid.segmentLength);
}

/** Frames of about `frameS` at half overlap over the airborne part, thinned evenly to at most `most`. */
export function sparseGrid(timeline: Timeline, frameS: Seconds, most: number): FrameGrid {
  const { sampleRate } = timeline;
  const segmentLength = Math.max(16, 2 ** Math.round(Math.log2(frameS * sampleRate)));
  const grid = frameGrid(
    timeline.airborne,
    { sampleRate, segmentLength, hop: segmentLength / 2 },
    timeline.valid,
  );
  return thinned(grid, most);
}

/** At most `most` of a grid's frames, evenly spread. */
export function thinned(grid: FrameGrid, most: number): FrameGrid {
  const count = grid.starts.length;
  if (count <= most) return grid;
  const starts = Int32Array.from({ length: most }, (_, i) => grid.starts[Math.floor((i * count) / most)]!);
  return { ...grid, starts };
}

function logPower(x: Float32Array, grid: FrameGrid): Float32Array {
  const { power } = shortTimeSpectrum(x, grid);
  for (let i = 0; i < power.length; i++) power[i] = Math.log(power[i]! + 1e-30);
  return power;
}

/** Per frequency a quantile over time, of at most so many frames evenly spread. */
function binQuantile(
  log: Float32Array,
  grid: FrameGrid,
  { q, most = Number.POSITIVE_INFINITY }: { q: number; most?: number },
): Float32Array {
  const { bins } = grid;
  const frames = Math.min(grid.starts.length, most);
  const step = grid.starts.length / frames;
  const column = new Float32Array(frames);
  const out = new Float32Array(bins);
  for (let bin = 0; bin < bins; bin++) {
    for (let k = 0; k < frames; k++) column[k] = log[Math.floor(k * step) * bins + bin]!;
    out[bin] = quantileInPlace(column, q);
  }
  return out;
}

/** How loud each frame is as a whole: median over frequency above 25 Hz of log power over its time median. */
function commonLevel(
  logs: readonly Float32Array[],
  bases: readonly Float32Array[],
  grid: FrameGrid,
): Float64Array {
  const { bins } = grid;
  const first = Math.min(bins - 1, Math.ceil((25 * grid.segmentLength) / grid.sampleRate));
  const step = Math.max(1, Math.floor((bins - first) / LEVEL_BINS));
  const row = new Float32Array(Math.ceil((bins - first) / step));
  return Float64Array.from(grid.starts, (_, k) => {
    let sum = 0;
    logs.forEach((log, a) => {
      for (let i = 0, bin = first; bin < bins; i++, bin += step)
        row[i] = log[k * bins + bin]! - bases[a]![bin]!;
      sum += quantileInPlace(row, 0.5);
    });
    return sum / logs.length;
  });
}

interface WhitenInput {
  readonly grid: FrameGrid;
  readonly frameLevel: Float64Array;
  readonly options: LineMapOptions;
}

function addWhitened(into: Float32Array, log: Float32Array, input: WhitenInput): void {
  const { grid, frameLevel, options } = input;
  const { bins } = grid;
  const frames = grid.starts.length;
  for (let k = 0; k < frames; k++) {
    const shift = frameLevel[k]!;
    for (let i = k * bins, end = i + bins; i < end; i++) log[i] = log[i]! - shift;
  }
  const floor = binQuantile(log, grid, { q: 0.4 });
  const below = options.whiten === "standing" ? smoothFloor(floor, grid) : floor;
  addAbove(into, log, { below, frames, clip: options.clip });
}

/** Adds the clipped level above a floor, frame by frame. */
function addAbove(
  into: Float32Array,
  log: Float32Array,
  o: { below: Float32Array; frames: number; clip: readonly [number, number] },
): void {
  const { below, frames } = o;
  const [low, high] = o.clip;
  const bins = below.length;
  for (let k = 0, i = 0; k < frames; k++) {
    for (let bin = 0; bin < bins; bin++, i++) {
      const above = log[i]! - below[bin]! - LN_MEAN_OVER_P40;
      into[i] = into[i]! + (above < low ? low : Math.min(above, high));
    }
  }
}

/** 35th percentile of a curve within ±max(25 Hz, 25 %) of each frequency. */
function smoothFloor(curve: Float32Array, grid: FrameGrid): Float32Array {
  const df = grid.sampleRate / grid.segmentLength;
  return curve.map((_, bin) => {
    const half = Math.ceil(Math.max(25 / df, 0.25 * bin));
    return quantileInPlace(
      curve.slice(Math.max(1, bin - half), Math.min(curve.length, bin + half + 1)),
      0.35,
    );
  });
}

function subtractMedian(level: Float32Array): void {
  const stride = Math.max(1, Math.floor(level.length / 20000));
  const sample = new Float32Array(Math.ceil(level.length / stride));
  for (let i = 0; i < sample.length; i++) sample[i] = level[i * stride]!;
  const middle = quantileInPlace(sample, 0.5);
  for (let i = 0; i < level.length; i++) level[i] = level[i]! - middle;
}
