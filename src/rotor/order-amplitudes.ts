import { hann } from "../spectra/window.js";
import { analysisGyro, type Timeline } from "../timeline/timeline.js";
import { AXES, type Axis, type Hertz, type PerAxis, perAxis } from "../units.js";
import { projectionsBeside, shiftBy, type ThreePlaces } from "./beside.js";
import { knownBlocks, spreadOut } from "./blocks.js";
import { blockPhasors, separate, separator } from "./demodulate.js";
import type { SpeedTrack } from "./rotor.js";
import { averaged, averagingGain, thinning } from "./thinning.js";

/** Seconds of a block: long enough to part motors a hertz apart, short enough that a phase report holds through it. */
const BLOCK_S = 1;
const MOST_BLOCKS = 160;
/** How far beside the motors' lines the noise under them is measured, Hz: clear of the skirts of a block's window. */
const BESIDE_HZ = 3.5 / BLOCK_S;
/** One side of the lines is left out when it holds this many times the power of the other. */
const MUCH_LOUDER = 3;

/** Power of one order of every motor in one block. */
export interface OrderBlock {
  /** Log time of the block's middle, s. */
  readonly timeS: number;
  /** Mean speed of every motor, Hz. */
  readonly hz: readonly number[];
  /** Squared amplitude per motor and axis, noise included, (deg/s)². */
  readonly power: readonly PerAxis<number>[];
  /** The same for lines on either side, where none is, averaged: the noise in `power`. */
  readonly noise: readonly PerAxis<number>[];
  /** The noise from the quieter side where the other is much louder over the flight: another line lies there. */
  readonly quietNoise: readonly PerAxis<number>[];
  /** How much of each motor's line is its own in this block, 0 (cannot be parted) to 1 (stands alone). */
  readonly own: readonly number[];
}

/**
 * Amplitudes of one order of every motor, block by block, by joint least squares on the motors' integrated phases.
 *
 * Motors whose speeds differ by less than about a hertz within a block cannot be parted there: `own` says so
 * (one over the diagonal of the inverse normal matrix).
 *
 * @param tracks one per motor, mechanical Hz
 * @param order multiple of the speed
 * @param most at most so many blocks, spread over the flight
 */
export function orderBlocks(
  timeline: Timeline,
  tracks: readonly SpeedTrack[],
  order: number,
  most = MOST_BLOCKS,
): OrderBlock[] {
  const { sampleRate } = timeline;
  const speeds = tracks.map((t) => t.hz);
  const every = thinning(speeds, order, sampleRate);
  const length = Math.max(32, Math.round((BLOCK_S * sampleRate) / every));
  const hop = Math.round((length * every) / 2);
  const starts = spreadOut(knownBlocks(timeline, speeds, { length: length * every, hop }), most);
  const ground: Ground = { timeline, speeds, order, every, length, window: hann(length) };
  const blocks = starts.map((start) => blockAt(start, ground)).filter((b) => b !== null);
  const quieter = quieterSide(blocks, tracks.length);
  return blocks.map((b) => ({
    timeS: b.timeS,
    hz: b.hz,
    power: b.power,
    own: b.own,
    noise: b.below.map((low, m) => perAxis((axis) => (low[axis] + b.above[m]![axis]) / 2)),
    quietNoise: quieter(b),
  }));
}

const kept = new WeakMap<readonly SpeedTrack[], Map<number, OrderBlock[]>>();

/** The blocks of one order over tracks that change no more: asked for again, the same are returned. */
export function keptOrderBlocks(
  timeline: Timeline,
  tracks: readonly SpeedTrack[],
  order: number,
): readonly OrderBlock[] {
  const ofTracks = kept.get(tracks) ?? new Map<number, OrderBlock[]>();
  kept.set(tracks, ofTracks);
  const blocks = ofTracks.get(order) ?? orderBlocks(timeline, tracks, order);
  ofTracks.set(order, blocks);
  return blocks;
}

interface Ground {
  readonly timeline: Timeline;
  readonly speeds: readonly Float32Array[];
  readonly order: number;
  /** Samples averaged into one, and how many such make a block. */
  readonly every: number;
  readonly length: number;
  readonly window: Float64Array;
}

/** The lines of one block and what lies on either side of them; null where they cannot be parted at all. */
function blockAt(start: number, ground: Ground): TwoSided | null {
  const { timeline, speeds, order, every, length, window } = ground;
  const { sampleRate, startS } = timeline;
  const at = { start: start + (every >> 1), length, sampleRate, stride: every };
  const phasors = blockPhasors(speeds, order, at);
  const inverse = separator(phasors, window);
  if (inverse === null) return null;
  const hz = speeds.map((track) => meanOf(track, start, length * every));
  const clear = order * (Math.max(...hz) - Math.min(...hz)) + BESIDE_HZ;
  const gain = hz.map((f) => averagingGain(order * f, every, sampleRate));
  const { series } = analysisGyro(timeline);
  const gyro = perAxis((axis) => {
    const y = series[axis];
    return y ? averaged(y, { start, length, every }) : null;
  });
  const shift = shiftBy((clear * every) / sampleRate, length);
  const found = perAxis((axis) => {
    const y = gyro[axis];
    return y && projectionsBeside(y, phasors, window, shift);
  });
  const powers = (place: keyof ThreePlaces): PerAxis<number>[] => {
    const amplitudes = perAxis((axis) => found[axis] && separate(inverse, found[axis][place]));
    return gain.map((g, m) =>
      perAxis(
        (axis) => ((amplitudes[axis]?.re[m] ?? 0) / g) ** 2 + ((amplitudes[axis]?.im[m] ?? 0) / g) ** 2,
      ),
    );
  };
  return {
    timeS: startS + (start + (length * every) / 2) / sampleRate,
    hz,
    power: powers("on"),
    below: powers("below"),
    above: powers("above"),
    own: hz.map((_, m) => 1 / Math.max(1, inverse.re[m * inverse.size + m]!)),
  };
}

/** A block with the noise on either side of the lines. */
interface TwoSided extends Omit<OrderBlock, "noise" | "quietNoise"> {
  readonly below: readonly PerAxis<number>[];
  readonly above: readonly PerAxis<number>[];
}

/**
 * The noise under the lines from that on both sides; from the quieter one alone where the other is much louder over
 * the flight: there lies another line, or the craft's own motion.
 */
function quieterSide(
  blocks: readonly TwoSided[],
  motors: number,
): (sides: Pick<TwoSided, "below" | "above">) => PerAxis<number>[] {
  const total = (side: "below" | "above", m: number, axis: Axis): number =>
    blocks.reduce((sum, b) => sum + b[side][m]![axis], 0);
  const weights = Array.from({ length: motors }, (_, m) =>
    perAxis((axis) => {
      const ratio = total("below", m, axis) / Math.max(1e-30, total("above", m, axis));
      return ratio > MUCH_LOUDER ? 0 : ratio < 1 / MUCH_LOUDER ? 1 : 0.5;
    }),
  );
  return ({ below, above }) =>
    weights.map((w, m) => perAxis((axis) => w[axis] * below[m]![axis] + (1 - w[axis]) * above[m]![axis]));
}

function meanOf(x: Float32Array, start: number, length: number): Hertz {
  let sum = 0;
  const stride = Math.max(1, length >> 6);
  let count = 0;
  for (let i = start; i < start + length; i += stride) {
    sum += x[i]!;
    count++;
  }
  return sum / count;
}

/** Sum over the axes. */
export const overAxes = (values: PerAxis<number>): number =>
  AXES.reduce((sum, axis) => sum + values[axis], 0);
