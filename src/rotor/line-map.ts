import type { FrameGrid } from "../spectra/spectrum.js";
import { quantileInPlace } from "../stats/quantile.js";
import type { Timeline } from "../timeline/timeline.js";
import type { Hertz } from "../units.js";
import { spreadOut } from "./blocks.js";
import { type WhitenOptions, whitened } from "./whitened.js";

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

export interface LineMapOptions extends WhitenOptions {
  /** Bounds of the whitened level before averaging, natural log units. */
  readonly clip: readonly [number, number];
  /** Frames that are whitened together, `frames` of which make the map; so maps of one flight can share them. */
  readonly of?: number;
}

/**
 * Builds the map from whitened spectra.
 *
 * @returns null when there is no gyro or fewer than 8 frames fit
 */
export function lineMap(timeline: Timeline, options: LineMapOptions): LineMap | null {
  const { frameS, frames, whiten, clip, of = frames } = options;
  const all = whitened(timeline, { frameS, frames: Math.max(of, frames), whiten });
  if (!all) return null;
  const rows = spreadOut(Array.from(all.grid.starts.keys()), frames);
  const grid = { ...all.grid, starts: Int32Array.from(rows, (k) => all.grid.starts[k]!) };
  const level = new Float32Array(rows.length * grid.bins);
  for (const log of all.axes) addClipped(level, log, { rows, bins: grid.bins, clip });
  for (let i = 0; i < level.length; i++) level[i] = level[i]! / all.axes.length;
  subtractMedian(level);
  return { grid, level, lowestHz: lowestReadable(grid), axes: all.axes.length };
}

/** Two and a half bins of the Hann main lobe above attitude motion, at least 7 Hz. */
function lowestReadable(grid: FrameGrid): Hertz {
  return Math.max(7, (4.5 * grid.sampleRate) / grid.segmentLength);
}

/** Adds the clipped levels of some frames. */
function addClipped(
  into: Float32Array,
  log: Float32Array,
  o: { rows: readonly number[]; bins: number; clip: readonly [number, number] },
): void {
  const [low, high] = o.clip;
  let at = 0;
  for (const row of o.rows) {
    for (let i = row * o.bins, end = i + o.bins; i < end; i++, at++) {
      const above = log[i]!;
      into[at] = into[at]! + (above < low ? low : Math.min(above, high));
    }
  }
}

function subtractMedian(level: Float32Array): void {
  const stride = Math.max(1, Math.floor(level.length / 20000));
  const sample = new Float32Array(Math.ceil(level.length / stride));
  for (let i = 0; i < sample.length; i++) sample[i] = level[i * stride]!;
  const middle = quantileInPlace(sample, 0.5);
  for (let i = 0; i < level.length; i++) level[i] = level[i]! - middle;
}
