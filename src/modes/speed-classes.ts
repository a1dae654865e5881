import type { RotorEstimate } from "../rotor/rotor.js";
import type { FrameGrid } from "../spectra/spectrum.js";
import { quantile } from "../stats/quantile.js";
import type { Timeline } from "../timeline/timeline.js";

/** The speed (or its stand-in) must vary by this ratio between its 5th and 95th percentile to tell classes apart. */
const LEAST_RATIO = 1.12;
/** Throttle moves more than speed does: speed goes with about its square root. */
const LEAST_THROTTLE_RATIO = 1.3;
const NO_CLASS = 255;

/** Mean of a series over each frame; NaN where unknown. */
function frameMeans(grid: FrameGrid, series: readonly Float32Array[]): Float64Array {
  const stride = Math.max(1, grid.segmentLength >> 5);
  return Float64Array.from(grid.starts, (start) => {
    let sum = 0;
    let count = 0;
    for (const s of series) {
      for (let i = start; i < start + grid.segmentLength; i += stride) {
        const v = s[i]!;
        if (!Number.isFinite(v)) continue;
        sum += v;
        count++;
      }
    }
    return sum / count;
  });
}

/** Lowest and highest speed in the middle of a frame, where its window holds nearly all its energy; NaN: unknown. */
export interface SpeedRange {
  readonly low: number;
  readonly high: number;
}

/** Range of a series within every frame. */
export function frameRanges(grid: FrameGrid, series: Float32Array): SpeedRange[] {
  const stride = Math.max(1, grid.segmentLength >> 5);
  const skip = Math.round(grid.segmentLength / 6);
  return Array.from(grid.starts, (start) => {
    let low = Number.POSITIVE_INFINITY;
    let high = Number.NEGATIVE_INFINITY;
    for (let i = start + skip; i < start + grid.segmentLength - skip; i += stride) {
      const v = series[i]!;
      if (!Number.isFinite(v)) return { low: Number.NaN, high: Number.NaN };
      if (v < low) low = v;
      if (v > high) high = v;
    }
    return { low, high };
  });
}

/** Mean rotor frequency of every frame, or the mean throttle where no speed is known, or null. */
export function frameSpeed(
  grid: FrameGrid,
  timeline: Timeline,
  rotor: RotorEstimate,
): { values: Float64Array; isSpeed: boolean } | null {
  if (rotor.tracks.length > 0) {
    const tracks = rotor.tracks.map((t) => t.hz);
    return { values: frameMeans(grid, tracks), isSpeed: true };
  }
  if (timeline.throttle === null) return null;
  return { values: frameMeans(grid, [timeline.throttle]), isSpeed: false };
}

/** Frames split into terciles of speed. */
export interface SpeedClasses {
  /** 0, 1 or 2 per frame; 255 where the speed is unknown. */
  readonly of: Uint8Array;
  /** Speed of each frame over the median: of the rotors, or the square root of throttle; 1 where unknown. */
  readonly ratio: Float64Array;
  /** 95th less 5th percentile of the squared ratio: of thrust. */
  readonly thrustSpan: number;
  /** false: the classes are of throttle. */
  readonly isSpeed: boolean;
}

/**
 * Splits frames into terciles of rotor speed (of throttle where no speed is known).
 *
 * @returns null when the speed hardly varies
 */
export function speedClasses(grid: FrameGrid, timeline: Timeline, rotor: RotorEstimate): SpeedClasses | null {
  const speed = frameSpeed(grid, timeline, rotor);
  if (speed === null || grid.starts.length === 0) return null;
  const { values, isSpeed } = speed;
  const [bottom, top] = [quantile(values, 0.05), quantile(values, 0.95)];
  if (!(top / bottom > (isSpeed ? LEAST_RATIO : LEAST_THROTTLE_RATIO))) return null;
  const low = quantile(values, 1 / 3);
  const high = quantile(values, 2 / 3);
  const of = Uint8Array.from(values, (v) =>
    Number.isFinite(v) ? (v < low ? 0 : v < high ? 1 : 2) : NO_CLASS,
  );
  const middle = quantile(values, 0.5);
  const power = isSpeed ? 1 : 0.5;
  const ratio = values.map((v) => (Number.isFinite(v) ? (v / middle) ** power : 1));
  const thrustSpan = (top / middle) ** (2 * power) - (bottom / middle) ** (2 * power);
  return { of, ratio, thrustSpan, isSpeed };
}
