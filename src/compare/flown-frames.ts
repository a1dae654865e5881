import type { RotorEstimate } from "../rotor/rotor.js";
import { nearestPowerOfTwo } from "../spectra/fft.js";
import { frameGrid } from "../spectra/frame-grid.js";
import { shortTimeSpectrum } from "../spectra/short-time.js";
import type { FrameGrid, ShortTimeSpectrum } from "../spectra/spectrum.js";
import { airborneSeconds, analysisGyro, type Timeline } from "../timeline/timeline.js";
import { AXES, type PerAxis, perAxis } from "../units.js";
import { framePowers } from "../verdict/band-level.js";
import { kindsOfFlight } from "../verdict/calm.js";
import { type FrameSpeed, speedPerFrame } from "../verdict/speed-per-frame.js";
import type { MatchedBy } from "./fingerprint.js";

const FRAME_S = 0.5;
/** Long flights are looked at in this many frames, evenly spread: levels are then known far better than flights agree. */
const MOST_FRAMES = 600;
/** Wash and gusts shake the whole craft here, below structures and rotors. */
const SHAKEN = { fromHz: 2, toHz: 15 };
/** An inferred speed less sure than this does not match flights. */
const LEAST_CONFIDENCE = 0.6;

/** After a throttle chop a frame still counts when the slowest and fastest speed in it, of any motor, differ by less. */
const MOST_CHANGE = 1.25;

/** The calm part of a flight cut into frames, with what each is matched by. */
export interface FlownFrames {
  readonly grid: FrameGrid;
  readonly gyro: PerAxis<ShortTimeSpectrum | null>;
  readonly source: "raw" | "filtered";
  readonly matchedBy: MatchedBy;
  /** Rotor speed in Hz or throttle 0..1 of each calm frame; NaN in a frame that is not calm or not known. */
  readonly drive: Float64Array;
  readonly speed: readonly FrameSpeed[];
  readonly secondsPerFrame: number;
}

/**
 * Cuts the airborne parts into half-second frames and keeps the calm ones: wash and gusts are how a flight was flown,
 * and so are throttle chops, unless the rotors' speed is known and hardly changes within the frame.
 *
 * @returns null when the log holds no gyro or no frame fits
 */
export function flownFrames(timeline: Timeline, rotor: RotorEstimate): FlownFrames | null {
  const { series, source } = analysisGyro(timeline);
  const grid = layFrames(timeline);
  if (source === "none" || grid.starts.length === 0) return null;
  const gyro = perAxis((axis) => (series[axis] === null ? null : shortTimeSpectrum(series[axis], grid)));
  const throttle = throttlePerFrame(timeline, grid);
  const kind = kindsOfFlight({
    shaken: shakenPower(gyro, grid.starts.length),
    throttle: throttle.mean,
    throttleMove: throttle.move,
  });
  const speed = speedPerFrame(rotor, grid);
  const matchedBy = matchBy(timeline, rotor);
  const value = (k: number): number =>
    matchedBy === "rotor speed" ? speed[k]!.mean : matchedBy === "throttle" ? throttle.mean[k]! : 1;
  const usable = (k: number): boolean => {
    if (kind[k] === "calm") return true;
    return kind[k] === "chop" && matchedBy === "rotor speed" && speed[k]!.high <= MOST_CHANGE * speed[k]!.low;
  };
  const drive = Float64Array.from(kind, (_, k) => (usable(k) ? value(k) : Number.NaN));
  return { grid, gyro, source, matchedBy, drive, speed, secondsPerFrame: grid.hop / grid.sampleRate };
}

function matchBy(timeline: Timeline, rotor: RotorEstimate): MatchedBy {
  if (rotor.source === "telemetry") return "rotor speed";
  if (rotor.source === "inferred" && rotor.confidence >= LEAST_CONFIDENCE) return "rotor speed";
  return timeline.throttle === null ? "nothing" : "throttle";
}

function layFrames(timeline: Timeline): FrameGrid {
  const { sampleRate, airborne, valid } = timeline;
  const segmentLength = Math.max(16, nearestPowerOfTwo(FRAME_S * sampleRate));
  const samples = airborneSeconds(timeline) * sampleRate;
  const hop = Math.max(segmentLength / 2, Math.ceil(samples / MOST_FRAMES));
  return frameGrid(airborne, { sampleRate, segmentLength, hop }, valid);
}

function throttlePerFrame(
  { throttle }: Timeline,
  grid: FrameGrid,
): { mean: Float64Array; move: Float64Array } {
  const mean = new Float64Array(grid.starts.length).fill(Number.NaN);
  const move = new Float64Array(grid.starts.length);
  if (throttle === null) return { mean, move };
  const step = Math.max(1, grid.segmentLength >> 5);
  for (let k = 0; k < mean.length; k++) {
    const values: number[] = [];
    for (let i = grid.starts[k]!; i < grid.starts[k]! + grid.segmentLength; i += step) {
      if (!Number.isNaN(throttle[i]!)) values.push(throttle[i]!);
    }
    if (values.length === 0) continue;
    mean[k] = values.reduce((sum, v) => sum + v, 0) / values.length;
    move[k] = Math.max(...values) - Math.min(...values);
  }
  return { mean, move };
}

function shakenPower(gyro: PerAxis<ShortTimeSpectrum | null>, count: number): Float64Array {
  const total = new Float64Array(count);
  for (const axis of AXES) {
    const frames = gyro[axis];
    if (frames === null) continue;
    framePowers(frames, SHAKEN.fromHz, SHAKEN.toHz).forEach((power, k) => {
      total[k]! += power;
    });
  }
  return total;
}
