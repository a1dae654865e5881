import { nearestPowerOfTwo } from "../spectra/fft.js";
import { frameGrid } from "../spectra/frame-grid.js";
import type { FrameGrid } from "../spectra/spectrum.js";
import type { Timeline } from "../timeline/timeline.js";
import { levelOf, type ThrottleLevel } from "./throttle-levels.js";

/** Frames spread evenly over the flight, each with its throttle and its level. */
export interface StudyFrames {
  readonly grid: FrameGrid;
  /** Mean throttle of each frame; NaN when the log has none. */
  readonly throttle: Float64Array;
  /** Index of each frame's level. */
  readonly level: Uint8Array;
}

export interface StudyFramesOptions {
  readonly seconds: number;
  /** At most about this many frames: a long flight is sampled, not read in full. */
  readonly most: number;
  /** Samples that every frame must leave free behind it. */
  readonly after?: number;
}

/**
 * Lays frames over the airborne, gap-free parts: half overlapping, or wider apart when the flight is long.
 *
 * @param timeline the flight
 * @param levels from `throttleLevels`
 * @param options length of a frame (rounded to a power of two of samples) and how many
 */
export function studyFrames(
  timeline: Timeline,
  levels: readonly ThrottleLevel[],
  options: StudyFramesOptions,
): StudyFrames {
  const { sampleRate, airborne, valid } = timeline;
  const segmentLength = nearestPowerOfTwo(options.seconds * sampleRate);
  const total = airborne.reduce((sum, s) => sum + s.to - s.from, 0);
  const hop = Math.max(segmentLength >> 1, Math.ceil(total / options.most));
  const reach = segmentLength + (options.after ?? 0);
  const laid = frameGrid(airborne, { sampleRate, segmentLength: reach, hop }, valid);
  const grid = { ...laid, segmentLength, bins: (segmentLength >> 1) + 1 };
  const throttle = Float64Array.from(grid.starts, (start) => meanOf(timeline.throttle, start, segmentLength));
  return { grid, throttle, level: Uint8Array.from(throttle, (u) => levelOf(levels, u)) };
}

/** Seconds of flight that the frames of each level stand for. */
export function secondsPerLevel({ grid, level }: StudyFrames, levels: number): number[] {
  const seconds = new Array<number>(levels).fill(0);
  for (const l of level) seconds[l] = seconds[l]! + grid.hop / grid.sampleRate;
  return seconds;
}

function meanOf(series: Float32Array | null, start: number, length: number): number {
  if (series === null) return Number.NaN;
  let sum = 0;
  const step = Math.max(1, length >> 5);
  let count = 0;
  for (let i = start; i < start + length; i += step) {
    sum += series[i]!;
    count++;
  }
  return sum / count;
}
