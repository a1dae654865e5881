import { hann } from "../spectra/window.js";
import { analysisGyro, presentAxes, type Timeline } from "../timeline/timeline.js";
import type { Hertz, Seconds } from "../units.js";
import { knownBlocks } from "./blocks.js";
import {
  type BlockPhasors,
  blockPhasors,
  projections,
  separate,
  separator,
  type WeightedBlock,
  weightedBlock,
} from "./demodulate.js";
import { fold } from "./fold.js";
import { averaged, thinning } from "./thinning.js";

/**
 * A report late by τ moves the line by τ · dF/dt within a block. How finely a block tells a frequency goes with its length
 * to the power 3/2 (D. Rife, R. Boorstyn, IEEE Trans. Inf. Theory 20, 1974), so long blocks tell most and part motors a
 * hertz apart; longer than this, amplitudes wander (blocks of 0.4 s left two to three times the error in slow sweeps,
 * measured on simulated flights).
 */
const BLOCK_S: Seconds = 1;
/** A line nearer than this to another, to zero or to Nyquist is not read, bins of the block. */
const CLEAR_BINS = 5;
/** Lines that may lie in each other's way. */
const ORDERS = [1, 2, 3, 4, 5, 6];
const BLOCKS = 72;
/** Classes of speed from which blocks are taken alike, so that a mode spoils only a few of them. */
const CLASSES = 8;
/**
 * Motors a hertz apart can hardly be parted within a block, and amplitudes that cancel each other would follow any
 * shift. A ridge of a tenth says beforehand that no motor is much louder than the line they make together.
 */
const RIDGE = 0.1;

/** A block with phasors on a wider stretch, so that a shift is an index. */
export interface DelayBlock {
  /** Samples averaged into one, and how many such make the block. */
  readonly every: number;
  readonly length: number;
  /** Samples of phasor before the block's first sample. */
  readonly margin: number;
  readonly hz: Hertz;
  /** At the log's rate. */
  readonly phasors: BlockPhasors;
  /** Gyro of every axis, averaged, under the window. */
  readonly gyro: WeightedBlock;
}

/**
 * The blocks of a flight in which one order's lines can be read, the liveliest of every class of speed.
 *
 * @param timeline flight
 * @param speeds mechanical speed per motor, Hz, NaN where unknown
 * @param o multiple of the speed; how far a shift may go to either side, s
 */
export function delayBlocks(
  timeline: Timeline,
  speeds: readonly Float32Array[],
  { order, reachS }: { order: number; reachS: Seconds },
): DelayBlock[] {
  const { sampleRate } = timeline;
  const length = Math.round(BLOCK_S * sampleRate);
  const margin = Math.ceil(1.1 * reachS * sampleRate);
  const hop = Math.max(1, length >> 1);
  const usable = knownBlocks(timeline, speeds, { length, hop, margin })
    .filter((start) => readable(speeds, start + (length >> 1), { order, sampleRate }))
    .map((start) => ({
      start,
      hz: meanHz(speeds, start + (length >> 1)),
      change: speedChange(speeds, start, length),
    }));
  const every = thinning(speeds, order, sampleRate);
  const kept = Math.floor(length / every);
  const { series } = analysisGyro(timeline);
  const axes = presentAxes(series);
  return liveliest(usable).map(({ start, hz }) => ({
    every,
    length: kept,
    margin,
    hz,
    phasors: blockPhasors(speeds, order, { start: start - margin, length: length + 2 * margin, sampleRate }),
    gyro: weightedBlock(
      axes.map((axis) => averaged(series[axis]!, { start, length: kept, every })),
      0,
      windowFor(kept),
    ),
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
function readable(
  speeds: readonly Float32Array[],
  at: number,
  { order, sampleRate }: { order: number; sampleRate: Hertz },
): boolean {
  const clear = CLEAR_BINS / BLOCK_S;
  return speeds.every((hz) => {
    const shown = fold(order * hz[at]!, sampleRate);
    return (
      shown > clear &&
      shown < sampleRate / 2 - clear &&
      ORDERS.every((other) => other === order || Math.abs(fold(other * hz[at]!, sampleRate) - shown) > clear)
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
export function explainedPower(block: DelayBlock, shift: number): number[] {
  const from = block.margin + shift + (block.every >> 1);
  const read = (x: Float64Array): Float64Array => everyFew(x, { ...block, from });
  const phasors: BlockPhasors = {
    length: block.length,
    cos: block.phasors.cos.map(read),
    sin: block.phasors.sin.map(read),
  };
  const inverse = separator(phasors, windowFor(block.length), RIDGE);
  if (inverse === null) return block.gyro.series.map(() => 0);
  return projections(block.gyro, phasors).map((r) => separate(inverse, r).explained);
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
