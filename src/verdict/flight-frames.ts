import type { RotorEstimate } from "../rotor/rotor.js";
import { nearestPowerOfTwo } from "../spectra/fft.js";
import { frameGrid } from "../spectra/frame-grid.js";
import { shortTimeSpectrum } from "../spectra/short-time.js";
import type { FrameGrid, ShortTimeSpectrum } from "../spectra/spectrum.js";
import { analysisGyro, type Timeline } from "../timeline/timeline.js";
import { AXES, type PerAxis, perAxis, type Seconds } from "../units.js";
import { framePowers, meanDensity } from "./band-level.js";
import { type FrameKind, kindsOfFlight } from "./calm.js";
import { type FrameSpeed, speedPerFrame } from "./speed-per-frame.js";

/** The analysed flight cut into frames, with what is known of each. */
export interface FlightFrames {
  readonly grid: FrameGrid;
  /** Short-time spectra of the gyro that is judged: raw where logged, else filtered. */
  readonly gyro: PerAxis<ShortTimeSpectrum | null>;
  readonly gyroSource: "raw" | "filtered" | "none";
  /** Mean density of that gyro over calm frames, unit²/Hz; NaN where no frame is calm. */
  readonly calmDensity: PerAxis<Float64Array | null>;
  readonly kind: readonly FrameKind[];
  readonly speed: readonly FrameSpeed[];
  /** Mean throttle per frame, 0..1; NaN without throttle. */
  readonly throttle: Float64Array;
  /** Seconds that one frame adds (its hop). */
  readonly secondsPerFrame: Seconds;
}

/** Above this speed half-second frames separate orders well enough; slower rotors need a second. */
const SLOW_ROTOR_HZ = 80;
/** Long flights are cut without overlap, very long ones with room between frames: a thousand frames are plenty. */
const OVERLAP_UP_TO_S = 300;
const TOUCHING_UP_TO_S = 600;
/** Wash and gusts shake the whole craft below this; structures and rotors of any craft lie above it. */
const SHAKEN = { fromHz: 2, toHz: 15 };

/** Cuts the airborne parts into frames and tells calm flight from chops, wash and gusts. */
export function flightFrames(timeline: Timeline, rotor: RotorEstimate): FlightFrames {
  const grid = layFrames(timeline, rotor);
  const throttle = throttlePerFrame(timeline, grid);
  const { series, source } = analysisGyro(timeline);
  const gyro = perAxis((axis) => (series[axis] === null ? null : shortTimeSpectrum(series[axis], grid)));
  const kind = kindsOfFlight({
    shaken: shakenLevel(gyro, grid.starts.length),
    throttle: throttle.mean,
    throttleMove: throttle.move,
  });
  return {
    grid,
    gyro,
    gyroSource: source,
    calmDensity: perAxis((axis) => gyro[axis] && meanDensity(gyro[axis], (k) => kind[k] === "calm")),
    kind,
    speed: speedPerFrame(rotor, grid),
    throttle: throttle.mean,
    secondsPerFrame: grid.hop / grid.sampleRate,
  };
}

/** Seconds of a kind of flight. */
export function secondsOf(frames: FlightFrames, wanted: FrameKind): Seconds {
  return frames.kind.filter((kind) => kind === wanted).length * frames.secondsPerFrame;
}

function layFrames(timeline: Timeline, rotor: RotorEstimate): FrameGrid {
  const { sampleRate, airborne, valid } = timeline;
  const slow = rotor.medianHz !== null && rotor.medianHz < SLOW_ROTOR_HZ;
  const segmentLength = Math.max(16, nearestPowerOfTwo((slow ? 1 : 0.5) * sampleRate));
  const samples = airborne.reduce((sum, span) => sum + span.to - span.from, 0);
  const seconds = samples / sampleRate;
  const share = seconds <= OVERLAP_UP_TO_S ? 0.5 : seconds <= TOUCHING_UP_TO_S ? 1 : 1.5;
  const hop = share * segmentLength;
  return frameGrid(airborne, { sampleRate, segmentLength, hop }, valid);
}

function throttlePerFrame(timeline: Timeline, grid: FrameGrid): { mean: Float64Array; move: Float64Array } {
  const mean = new Float64Array(grid.starts.length).fill(Number.NaN);
  const move = new Float64Array(grid.starts.length);
  const { throttle } = timeline;
  if (throttle === null) return { mean, move };
  const step = Math.max(1, Math.floor(grid.segmentLength / 32));
  for (let k = 0; k < mean.length; k++) {
    let low = Infinity;
    let high = -Infinity;
    let sum = 0;
    let count = 0;
    for (let i = grid.starts[k]!; i < grid.starts[k]! + grid.segmentLength; i += step) {
      const value = throttle[i]!;
      if (Number.isNaN(value)) continue;
      low = Math.min(low, value);
      high = Math.max(high, value);
      sum += value;
      count++;
    }
    if (count === 0) continue;
    mean[k] = sum / count;
    move[k] = high - low;
  }
  return { mean, move };
}

/** Low-frequency power of the gyro per frame, summed over axes, (deg/s)². */
function shakenLevel(gyro: FlightFrames["gyro"], count: number): Float64Array {
  const total = new Float64Array(count);
  for (const axis of AXES) {
    const frames = gyro[axis];
    if (frames === null) continue;
    const powers = framePowers(frames, SHAKEN.fromHz, SHAKEN.toHz);
    for (let k = 0; k < count; k++) total[k] = total[k]! + powers[k]!;
  }
  return total;
}
