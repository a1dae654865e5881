import { hann } from "../spectra/window.js";
import { analysisGyro, presentAxes, type Timeline } from "../timeline/timeline.js";
import type { Hertz, Interval, Seconds } from "../units.js";
import { knownBlocks, spreadOut } from "./blocks.js";
import { steadyShift, type Unit } from "./delay-fit.js";
import { type BlockPhasors, blockPhasors, projections, separate, separator } from "./demodulate.js";
import { fold } from "./fold.js";
import { averaged, thinning } from "./thinning.js";

const BLOCK_S: Seconds = 0.4;
const EARLIEST: Seconds = -0.012;
const LATEST: Seconds = 0.06;
/** A line nearer than this to another, to zero or to Nyquist is not read, bins of the block. */
const CLEAR_BINS = 5;
const OTHER_ORDERS = [2, 3, 4, 5, 6];
const FEWEST = 6;
const COARSE_BLOCKS = 20;
const BLOCKS = 72;
/** Classes of speed from which blocks are taken alike, so that a mode spoils only a few of them. */
const CLASSES = 8;
/**
 * Motors a hertz apart can hardly be parted within a block, and amplitudes that cancel each other would follow any
 * shift. A ridge of a tenth says beforehand that no motor is much louder than the line they make together.
 */
const RIDGE = 0.1;
/** What lags within gyro, clock and motors leave at best (measured on simulated flights), s. */
const UNMODELLED: Seconds = 0.0003;
/** An interval wider than this says nothing, s. */
const WIDEST: Seconds = 0.05;

/** How late the speed report is against the gyro. */
export interface Delay {
  readonly delayS: Seconds;
  readonly ci95S: Interval;
  /** How much later than the gyro the cleaned report is to be read: the delay and the row's own share. */
  readonly readLaterS: Seconds;
}

/** A block with phasors on a wider stretch, so that a shift is an index. */
interface DelayBlock {
  /** Samples averaged into one, and how many such make the block. */
  readonly every: number;
  readonly length: number;
  /** Samples of phasor before the block's first sample. */
  readonly margin: number;
  readonly hz: Hertz;
  /** At the log's rate. */
  readonly phasors: BlockPhasors;
  /** Gyro of every axis, averaged. */
  readonly gyro: readonly (Float32Array | Float64Array)[];
}

/**
 * Estimates the delay from the once-per-turn lines: where speed changes, lines demodulated with a report that is
 * late or early smear. The shift sought is the one at which all motors' lines together explain most power, block by
 * block and axis by axis.
 *
 * A line that sweeps through a mode is turned in phase by it, which looks like a delay of up to 1 / (2πζf), tens of
 * milliseconds, but only near the mode and on its axes: a redescending estimate over blocks and axes keeps the shift
 * that most agree on (see `steadyShift`).
 *
 * @param timeline flight
 * @param speeds mechanical speed per motor, Hz, NaN where unknown, not yet corrected
 * @param slowRefresh readings come less often than rows: a fresh one is seen up to a row late, half a row on average
 * @returns null when there is no gyro, too few blocks, or the interval would be wider than ±50 ms
 */
export function estimateDelay(
  timeline: Timeline,
  speeds: readonly Float32Array[],
  slowRefresh = false,
): Delay | null {
  const blocks = delayBlocks(timeline, speeds);
  if (blocks.length < FEWEST) return null;
  const { sampleRate } = timeline;
  const step = Math.max(1, Math.round(0.0015 * sampleRate));
  let shift = coarseShift(spreadOut(blocks, COARSE_BLOCKS), sampleRate);
  let fit = steadyShift(unitsAt(blocks, { shift, step }));
  for (let round = 0; fit !== null && round < 2 && Math.abs(fit.offset) > 0.5 * step; round++) {
    shift += Math.round(Math.max(-4 * step, Math.min(4 * step, fit.offset)));
    if (shift < EARLIEST * sampleRate || shift > LATEST * sampleRate) return null;
    fit = steadyShift(unitsAt(blocks, { shift, step }));
  }
  if (fit === null || Math.abs(fit.offset) > 3 * step) return null;
  const rowsLate = slowRefresh ? 0.5 : 0;
  const half = Math.hypot(fit.half / sampleRate, rowsLate / sampleRate, UNMODELLED);
  if (!(half < WIDEST)) return null;
  // The middle of an even number of averaged samples lies half a sample before the phasor it is held against.
  const { every } = blocks[0]!;
  const readLaterS = (shift + fit.offset + (every >> 1) - (every - 1) / 2) / sampleRate;
  const delayS = readLaterS - rowsLate / sampleRate;
  return { delayS, ci95S: [delayS - half, delayS + half], readLaterS };
}

function delayBlocks(timeline: Timeline, speeds: readonly Float32Array[]): DelayBlock[] {
  const { sampleRate } = timeline;
  const length = Math.round(BLOCK_S * sampleRate);
  const margin = Math.ceil(1.1 * LATEST * sampleRate);
  const hop = Math.max(1, length >> 1);
  const usable = knownBlocks(timeline, speeds, { length, hop, margin })
    .filter((start) => readable(speeds, start + (length >> 1), sampleRate))
    .map((start) => ({
      start,
      hz: meanHz(speeds, start + (length >> 1)),
      change: speedChange(speeds, start, length),
    }));
  const every = thinning(speeds, 1, sampleRate);
  const kept = Math.floor(length / every);
  const { series } = analysisGyro(timeline);
  const axes = presentAxes(series);
  return liveliest(usable).map(({ start, hz }) => ({
    every,
    length: kept,
    margin,
    hz,
    phasors: blockPhasors(speeds, 1, { start: start - margin, length: length + 2 * margin, sampleRate }),
    gyro: axes.map((axis) => averaged(series[axis]!, { start, length: kept, every })),
  }));
}

/** The blocks in which speed changes most, from every class of speed alike. */
function liveliest<T extends { hz: Hertz; change: Hertz }>(blocks: readonly T[]): T[] {
  const bySpeed = [...blocks].sort((a, b) => a.hz - b.hz);
  const size = Math.ceil(bySpeed.length / CLASSES);
  return Array.from({ length: CLASSES }, (_, c) =>
    bySpeed
      .slice(c * size, (c + 1) * size)
      .sort((a, b) => b.change - a.change)
      .slice(0, BLOCKS / CLASSES),
  ).flat();
}

/**
 * Whether the line stands alone at a sample: next to zero or to Nyquist it meets its own mirror image, and where
 * the log folds, the higher orders cross it on their way back.
 */
function readable(speeds: readonly Float32Array[], at: number, sampleRate: number): boolean {
  const clear = CLEAR_BINS / BLOCK_S;
  return speeds.every((hz) => {
    const shown = fold(hz[at]!, sampleRate);
    return (
      shown > clear &&
      shown < sampleRate / 2 - clear &&
      OTHER_ORDERS.every((order) => Math.abs(fold(order * hz[at]!, sampleRate) - shown) > clear)
    );
  });
}

function meanHz(speeds: readonly Float32Array[], i: number): Hertz {
  return speeds.reduce((sum, hz) => sum + hz[i]!, 0) / speeds.length;
}

/** Range of the motors' mean speed within a block, Hz. */
function speedChange(speeds: readonly Float32Array[], start: number, length: number): number {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let i = start; i < start + length; i += Math.max(1, length >> 4)) {
    const mean = meanHz(speeds, i);
    low = Math.min(low, mean);
    high = Math.max(high, mean);
  }
  return high - low;
}

/** Power explained on every axis by all motors' lines when the report is read `shift` samples later. */
function explainedPower(block: DelayBlock, shift: number): number[] {
  const from = block.margin + shift + (block.every >> 1);
  const read = (x: Float64Array): Float64Array => everyFew(x, { ...block, from });
  const phasors: BlockPhasors = {
    length: block.length,
    cos: block.phasors.cos.map(read),
    sin: block.phasors.sin.map(read),
  };
  const window = windowFor(block.length);
  const inverse = separator(phasors, window, RIDGE);
  if (inverse === null) return block.gyro.map(() => 0);
  return block.gyro.map((y) => separate(inverse, projections(y, 0, phasors, window)).explained);
}

function everyFew(
  x: Float64Array,
  { from, length, every }: { from: number; length: number; every: number },
): Float64Array {
  if (every === 1) return x.subarray(from, from + length);
  const out = new Float64Array(length);
  for (let n = 0; n < length; n++) out[n] = x[from + n * every]!;
  return out;
}

let keptWindow = hann(16);
function windowFor(length: number): Float64Array {
  if (keptWindow.length !== length) keptWindow = hann(length);
  return keptWindow;
}

/** Best shift on a grid of 2.5 ms, every block and axis counting alike. */
function coarseShift(blocks: readonly DelayBlock[], sampleRate: Hertz): number {
  const step = Math.max(1, Math.round(0.0025 * sampleRate));
  const last = Math.round(LATEST * sampleRate);
  const shifts: number[] = [];
  for (let s = Math.round(EARLIEST * sampleRate); s <= last; s += step) shifts.push(s);
  const total = new Float64Array(shifts.length);
  for (const block of blocks) {
    const power = shifts.map((s) => explainedPower(block, s));
    power[0]!.forEach((_, axis) => {
      const scale = Math.max(1e-20, ...power.map((row) => row[axis]!));
      power.forEach((row, i) => {
        total[i] = total[i]! + row[axis]! / scale;
      });
    });
  }
  return shifts[total.indexOf(Math.max(...total))]!;
}

/** Slope and curvature of the explained power at a shift, per block and axis. */
function unitsAt(blocks: readonly DelayBlock[], { shift, step }: { shift: number; step: number }): Unit[] {
  return blocks.flatMap((block) => {
    const [low, mid, high] = [shift - step, shift, shift + step].map((s) => explainedPower(block, s));
    return mid!.map((m, axis) => ({
      slope: (high![axis]! - low![axis]!) / (2 * step) / m,
      curvature: (2 * m - high![axis]! - low![axis]!) / (step * step) / m,
      cluster: `${axis} ${Math.round(Math.log(block.hz) / 0.08)}`,
    }));
  });
}
