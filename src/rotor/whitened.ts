import { frameGrid } from "../spectra/frame-grid.js";
import { shortTimeSpectrum } from "../spectra/short-time.js";
import type { FrameGrid } from "../spectra/spectrum.js";
import { quantileInPlace } from "../stats/quantile.js";
import { analysisGyro, presentAxes, type Timeline } from "../timeline/timeline.js";
import type { Seconds } from "../units.js";

/** ln-level that separates the 40th percentile of an exponential law from its mean: −ln(−ln 0.6). */
const LN_MEAN_OVER_P40 = 0.67;
/** Frames and bins by which the common level of the frames is told: medians of so many are sure enough. */
const BASE_FRAMES = 80;
const LEVEL_BINS = 400;

/** Log power of every axis over what is fixed. */
export interface Whitened {
  readonly grid: FrameGrid;
  /** One per axis, frames × bins, natural log units, its mean about 0 where there is no line. */
  readonly axes: readonly Float32Array[];
}

export interface WhitenOptions {
  /** Frame length aimed at; the next power of two samples is taken. */
  readonly frameS: Seconds;
  /** At most so many frames, spread evenly over the flight. */
  readonly frames: number;
  /** Whether lines move over the flight (whiten over time) or stand (whiten over frequency). */
  readonly whiten: "moving" | "standing";
}

/** Spectra already whitened, so that several maps of one flight are read from one set of transforms. */
const kept = new WeakMap<Timeline, Map<string, Whitened | null>>();

/**
 * Short-time log spectra with each frame's common level and what is fixed taken off. Whitening over time removes
 * everything fixed (modes, tones, floor) and leaves what moves; when lines stand still that would remove them too, so
 * a floor smooth over frequency is taken off instead. Asked for again with the same options, the same is returned.
 *
 * @returns null when there is no gyro or fewer than 8 frames fit
 */
export function whitened(timeline: Timeline, options: WhitenOptions): Whitened | null {
  const { frameS, frames, whiten } = options;
  const key = `${frameS} ${frames} ${whiten}`;
  const ofFlight = kept.get(timeline) ?? new Map<string, Whitened | null>();
  kept.set(timeline, ofFlight);
  const held = ofFlight.get(key);
  if (held !== undefined) return held;
  const made = freshlyWhitened(timeline, options);
  ofFlight.set(key, made);
  return made;
}

function freshlyWhitened(timeline: Timeline, { frameS, frames, whiten }: WhitenOptions): Whitened | null {
  const { series } = analysisGyro(timeline);
  const present = presentAxes(series);
  const grid = sparseGrid(timeline, frameS, frames);
  if (present.length === 0 || grid.starts.length < 8) return null;
  const axes = present.map((axis) => logPower(series[axis]!, grid));
  const bases = axes.map((log) => binQuantile(log, grid, { q: 0.5, most: BASE_FRAMES }));
  const frameLevel = commonLevel(axes, bases, grid);
  for (const log of axes) takeOff(log, grid, { frameLevel, whiten });
  return { grid, axes };
}

/** Frames of about `frameS` at half overlap over the airborne part, thinned evenly to at most `most`. */
function sparseGrid(timeline: Timeline, frameS: Seconds, most: number): FrameGrid {
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
function thinned(grid: FrameGrid, most: number): FrameGrid {
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

/** Takes each frame's level and the fixed floor off, in place. */
function takeOff(
  log: Float32Array,
  grid: FrameGrid,
  { frameLevel, whiten }: { frameLevel: Float64Array; whiten: "moving" | "standing" },
): void {
  const { bins } = grid;
  const frames = grid.starts.length;
  for (let k = 0; k < frames; k++) {
    const shift = frameLevel[k]!;
    for (let i = k * bins, end = i + bins; i < end; i++) log[i] = log[i]! - shift;
  }
  const fixed = binQuantile(log, grid, { q: 0.4 });
  const below = whiten === "standing" ? smoothFloor(fixed, grid) : fixed;
  for (let k = 0, i = 0; k < frames; k++) {
    for (let bin = 0; bin < bins; bin++, i++) log[i] = log[i]! - below[bin]! - LN_MEAN_OVER_P40;
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
