import { orderMask } from "../rotor/order-mask.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import { nearestPowerOfTwo } from "../spectra/fft.js";
import { frameGrid } from "../spectra/frame-grid.js";
import { shortTimeSpectrum } from "../spectra/short-time.js";
import type { FrameGrid } from "../spectra/spectrum.js";
import { quantile } from "../stats/quantile.js";
import { airborneSeconds, analysisGyro, presentAxes, type Timeline } from "../timeline/timeline.js";
import type { Axis } from "../units.js";
import { type Levelling, level, logPlane } from "./levelling.js";
import { type FixedAverage, maskedAverage } from "./masked-average.js";
import { type AxisPower, binSpacing, type Plane } from "./plane.js";
import { type SpeedClasses, speedClasses } from "./speed-classes.js";
import type { SteadyLine } from "./tones.js";

/** The plane at one frame length with what levels it. */
export interface Level {
  readonly plane: Plane;
  readonly levelling: Levelling;
  /** Terciles of rotor speed, or null when it hardly varies. */
  readonly classes: SpeedClasses | null;
}

/** The fixed spectrum of a flight at frame lengths T, 2T, 4T, 8T, made when asked for. */
export interface ResolutionBank {
  readonly axes: readonly Axis[];
  /** The whole plane at frame length T. */
  readonly base: Level;
  /** Averages of all axes at T. */
  readonly averages: readonly FixedAverage[];
  /** The plane at T · 2^step, or null when that is more than the log carries. */
  level(step: number): Level | null;
  /** Average of one axis over part of the band, or null when the log does not carry that frame length. */
  zoom(axis: number, request: ZoomRequest): FixedAverage | null;
}

export interface ZoomRequest {
  /** Frame length T · 2^step. */
  readonly step: number;
  readonly fromHz: number;
  readonly toHz: number;
  /** How far, in Hz, what is followed lies above its place at median speed; from the frame's speed ratio. */
  readonly follow?: ((ratio: number) => number) | null;
  /** false: the speed classes are not asked for. */
  readonly classes?: boolean;
}

/** Frames of 1 s; 0.5 s where the flight is shorter than this. */
const SHORT_FLIGHT_S = 25;
const MOST_STEPS = 3;
/**
 * More frames than this, and more long ones, add nothing that the fit's systematic errors do not drown: of a longer
 * flight, frames spread over all of it are taken.
 */
const MOST_FRAMES = 500;
const MOST_LONG_FRAMES = 250;
const LEAST_LEVEL_FRAMES = 8;
/** Tones are masked this many bins to either side, in every frame. */
const TONE_BINS = 3.5;

/** Frames half overlapped, or further apart where a long flight would give more than enough of them. */
function gridOf(timeline: Timeline, segmentLength: number, mostFrames: number): FrameGrid {
  const { sampleRate, airborne, valid } = timeline;
  const samples = airborneSeconds(timeline) * sampleRate;
  const hop = Math.max(segmentLength / 2, Math.ceil(samples / mostFrames));
  return frameGrid(airborne, { sampleRate, segmentLength, hop }, valid);
}

/** The powers of an axis, computed when first asked for. */
function lazyPower(axis: Axis, series: Float32Array, grid: FrameGrid): AxisPower {
  let power: Float32Array | null = null;
  return {
    axis,
    get power() {
      power ??= shortTimeSpectrum(series, grid).power;
      return power;
    },
  };
}

/** Transforms by frame length: they do not depend on what is masked, so a second look need not repeat them. */
export type PowerCache = Map<number, readonly AxisPower[]>;

function cachedPowers(timeline: Timeline, grid: FrameGrid, cache: PowerCache): readonly AxisPower[] {
  const { series } = analysisGyro(timeline);
  const known = cache.get(grid.segmentLength);
  const axes = known ?? presentAxes(series).map((axis) => lazyPower(axis, series[axis]!, grid));
  cache.set(grid.segmentLength, axes);
  return axes;
}

/** What a bank is made from. */
export interface BankInput {
  readonly timeline: Timeline;
  readonly rotor: RotorEstimate;
  /** Fixed tones, masked in every frame. */
  readonly tones: readonly SteadyLine[];
  readonly cache: PowerCache;
}

function planeOf({ timeline, rotor, tones, cache }: BankInput, grid: FrameGrid): Plane {
  const mask = orderMask(grid, rotor);
  const df = binSpacing(grid);
  for (const { frequencyHz, driftHz } of tones) {
    const reach = TONE_BINS + Math.abs(driftHz) / 2 / df;
    const first = Math.max(0, Math.ceil(frequencyHz / df - reach));
    const last = Math.min(grid.bins - 1, Math.floor(frequencyHz / df + reach));
    for (let k = 0; k < grid.starts.length; k++)
      mask.fill(1, k * grid.bins + first, k * grid.bins + last + 1);
  }
  return { grid, axes: cachedPowers(timeline, grid, cache), mask };
}

/** Excitation and slopes known at frame length T, carried over to longer frames. */
function carryLevelling(from: Level, grid: FrameGrid): Levelling {
  const base = from.plane.grid;
  const ratio = grid.segmentLength / base.segmentLength;
  const excitation = new Float64Array(grid.starts.length);
  let first = 0;
  for (let k = 0; k < grid.starts.length; k++) {
    const start = grid.starts[k]!;
    const end = start + grid.segmentLength;
    while (first < base.starts.length - 1 && base.starts[first]! < start) first++;
    let sum = 0;
    let weight = 0;
    for (let i = first; i < base.starts.length && base.starts[i]! + base.segmentLength <= end; i++) {
      const centre = (base.starts[i]! + base.segmentLength / 2 - start) / grid.segmentLength;
      const w = Math.sin(Math.PI * centre) ** 4;
      sum += w * Math.exp(from.levelling.excitation[i]!);
      weight += w;
    }
    excitation[k] = weight > 0 ? Math.log(sum / weight) : 0;
  }
  const follow = from.levelling.follow.map((slope) =>
    Float64Array.from(
      { length: grid.bins },
      (_, b) => slope[Math.min(slope.length - 1, Math.round(b / ratio))]!,
    ),
  );
  return { excitation, follow };
}

/**
 * Lays the short-time planes of a flight, masks what turns and the tones, and levels the excitation.
 *
 * @returns null when the flight holds no gyro or fewer than eight frames
 */
export function resolutionBank(input: BankInput): ResolutionBank | null {
  const { timeline, rotor } = input;
  const frameS = airborneSeconds(timeline) < SHORT_FLIGHT_S ? 0.5 : 1;
  const segmentLength = Math.max(16, nearestPowerOfTwo(frameS * timeline.sampleRate));
  const plane = planeOf(input, gridOf(timeline, segmentLength, MOST_FRAMES));
  if (plane.axes.length === 0 || plane.grid.starts.length < LEAST_LEVEL_FRAMES) return null;
  const classes = speedClasses(plane.grid, timeline, rotor);
  const classOf = classes?.of ?? null;
  const base: Level = { plane, levelling: level(plane, logPlane(plane)), classes };
  const averages = plane.axes.map((_, axis) =>
    maskedAverage(plane, { axis, levelling: base.levelling, classOf }),
  );
  const levels: (Level | null)[] = [base];
  const levelAt = (step: number): Level | null => {
    if (levels[step] === undefined) {
      const grid = gridOf(timeline, segmentLength * 2 ** step, MOST_LONG_FRAMES);
      const enough = grid.starts.length >= LEAST_LEVEL_FRAMES;
      levels[step] = enough
        ? {
            plane: planeOf(input, grid),
            levelling: carryLevelling(base, grid),
            classes: classes && speedClasses(grid, timeline, rotor),
          }
        : null;
    }
    return levels[step] ?? null;
  };
  return {
    axes: plane.axes.map((a) => a.axis),
    base,
    averages,
    level: levelAt,
    zoom(axis, { step, fromHz, toHz, follow = null, classes: wanted = true }) {
      const at = step > MOST_STEPS ? null : levelAt(step);
      if (at === null) return null;
      const { plane, levelling, classes } = at;
      const df = binSpacing(plane.grid);
      const from = Math.max(0, Math.floor(fromHz / df) - 4);
      const to = Math.min(plane.grid.bins, Math.ceil(toHz / df) + 5);
      const shift = follow && classes && Int32Array.from(classes.ratio, (r) => Math.round(follow(r) / df));
      return maskedAverage(plane, {
        axis,
        levelling,
        classOf: (wanted && classes?.of) || null,
        range: [from, to],
        shift,
      });
    },
  };
}

/** Typical number of free frames over a band. */
export function typicalFrames(average: FixedAverage, fromHz: number, toHz: number): number {
  const from = Math.max(0, Math.round(fromHz / average.df));
  return quantile(average.frames.slice(from, Math.round(toHz / average.df) + 1), 0.5);
}
