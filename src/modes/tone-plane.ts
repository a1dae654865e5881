import { frameGrid } from "../spectra/frame-grid.js";
import { shortTimeSpectrum } from "../spectra/short-time.js";
import type { FrameGrid } from "../spectra/spectrum.js";
import { select } from "../stats/select.js";
import type { Timeline } from "../timeline/timeline.js";

/** Powers of one series in long frames, for finding lines: frames × bins, row-major. */
export interface TonePlane {
  /** Bin spacing, Hz. */
  readonly df: number;
  readonly bins: number;
  readonly power: Float32Array;
  /** Middle of every frame as a share of the flight, −½ … ½. */
  readonly when: Float64Array;
}

/** Part of a plane, read along a drift: the quiet level of every bin and the powers behind it. */
export interface QuietBand {
  readonly df: number;
  /** Bin of the plane at mid-flight that bin 0 stands for. */
  readonly firstBin: number;
  readonly bins: number;
  readonly frames: number;
  /** ln of a low time percentile of every bin. */
  readonly log: Float64Array;
  /** frames × bins. */
  readonly power: Float32Array;
}

/** Time percentile that bursts and passing lines leave alone. */
export const QUIET_PERCENTILE = 0.35;
/** Frames looked at, spread over the flight. */
const MOST_FRAMES = 80;
const LEAST_FRAMES = 8;
const TINY = 1e-30;

function thin(grid: FrameGrid): FrameGrid {
  const step = Math.ceil(grid.starts.length / MOST_FRAMES);
  return step <= 1 ? grid : { ...grid, starts: grid.starts.filter((_, i) => i % step === 0) };
}

/** @returns null when fewer than eight frames of this length fit, half overlapped */
export function tonePlane(timeline: Timeline, series: Float32Array, segmentLength: number): TonePlane | null {
  const { sampleRate, airborne, valid } = timeline;
  const grid = thin(frameGrid(airborne, { sampleRate, segmentLength, hop: segmentLength / 2 }, valid));
  if (grid.starts.length < LEAST_FRAMES) return null;
  const first = airborne[0]!.from;
  const span = airborne[airborne.length - 1]!.to - first;
  return {
    df: sampleRate / segmentLength,
    bins: grid.bins,
    power: shortTimeSpectrum(series, grid).power,
    when: Float64Array.from(grid.starts, (s) => (s + segmentLength / 2 - first) / span - 0.5),
  };
}

/** Bins by which a line that drifts this far (Hz over the flight) lies above its middle in every frame. */
export function driftBins(plane: TonePlane, driftHz: number): Int32Array {
  return Int32Array.from(plane.when, (w) => Math.round((driftHz * w) / plane.df));
}

/**
 * A part of the plane along a drift.
 *
 * @param plane powers
 * @param range half-open range of bins at mid-flight
 * @param driftHz how far, over the flight, the bins move along
 */
export function quietBand(plane: TonePlane, range: readonly [number, number], driftHz: number): QuietBand {
  const [from, to] = range;
  const bins = to - from;
  const frames = plane.when.length;
  const shift = driftBins(plane, driftHz);
  const power = new Float32Array(frames * bins);
  for (let k = 0; k < frames; k++) {
    for (let b = 0; b < bins; b++) {
      const at = Math.min(plane.bins - 1, Math.max(0, from + b + shift[k]!));
      power[k * bins + b] = plane.power[k * plane.bins + at]!;
    }
  }
  const column = new Float64Array(frames);
  const log = Float64Array.from({ length: bins }, (_, b) => {
    for (let k = 0; k < frames; k++) column[k] = power[k * bins + b]!;
    return Math.log(select(column, Math.floor(QUIET_PERCENTILE * (frames - 1))) + TINY);
  });
  return { df: plane.df, firstBin: from, bins, frames, log, power };
}

/** Mean over the frames of ln power along the best of several drifts, per bin at mid-flight, and which that is. */
export interface DriftSearch {
  readonly level: Float64Array;
  readonly driftHz: Float64Array;
}

/** Tries several drifts (Hz over the flight) at every bin. */
export function searchDrifts(plane: TonePlane, driftsHz: readonly number[]): DriftSearch {
  const { bins, power } = plane;
  const frames = plane.when.length;
  const log = power.map((p) => Math.log(p + TINY));
  const level = new Float64Array(bins).fill(Number.NEGATIVE_INFINITY);
  const best = new Float64Array(bins);
  for (const driftHz of driftsHz) {
    const shift = driftBins(plane, driftHz);
    const sum = new Float64Array(bins);
    for (let k = 0; k < frames; k++) {
      const s = shift[k]!;
      const row = k * bins + s;
      const to = Math.min(bins, bins - s);
      for (let b = Math.max(0, -s); b < to; b++) sum[b]! += log[row + b]!;
    }
    for (let b = 0; b < bins; b++) {
      if (!(sum[b]! / frames > level[b]!)) continue;
      level[b] = sum[b]! / frames;
      best[b] = driftHz;
    }
  }
  return { level, driftHz: best };
}
