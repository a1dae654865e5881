import { trimmedExponentialMean } from "../stats/trimmed-exponential-mean.js";
import type { Levelling } from "./levelling.js";
import { binSpacing, type Plane } from "./plane.js";

/** What stays put on one axis: the robust, levelled mean over the free frames, and the same per speed class. */
export interface FixedAverage {
  /** Bin spacing, Hz. */
  readonly df: number;
  /** unit²/Hz per bin at the median excitation; NaN where fewer than four frames are free. */
  readonly density: Float64Array;
  /** Free frames per bin. */
  readonly frames: Float64Array;
  /** Gamma shape per bin: independent periodograms behind the mean. */
  readonly shape: Float64Array;
  /** Mean (capped at three times the overall mean) and frames of each speed class; empty when speed hardly varies. */
  readonly classes: readonly SpeedClass[];
}

/** Mean density (NaN without a frame) and free frames per bin. */
export interface SpeedClass {
  readonly density: Float64Array;
  readonly frames: Float64Array;
}

/** Fewer free frames than this give no mean. */
export const LEAST_FRAMES = 4;
/** Share of the largest cells left out: bursts. */
const TRIM = 0.1;
/**
 * Independent periodograms per half-overlapped Hann frame: 18/19 for the overlap (Percival & Walden 1993,
 * eq. 292b), divided by 1.06, the relative variance of the trimmed mean of exponential variables.
 */
export const SHAPE_PER_FRAME = 18 / 19 / 1.06;
/** Sum over lags of the squared correlation of neighbouring Hann bins: 1 + 2 (4/9 + 1/36). */
export const BIN_CORRELATION = 1 + 2 * (4 / 9 + 1 / 36);
const CAP = 3;
/** E[min(X, 3)] of a unit exponential. */
const CAPPED_MEAN = 1 - Math.exp(-CAP);

/** Bins handled together: one cache line of single-precision powers. */
const BLOCK = 16;

/** Levelled free cells of a block of bins, bin-major, with their counts. */
class Block {
  readonly cells: Float64Array[];
  readonly frame: Int32Array[];
  readonly count = new Int32Array(BLOCK);

  constructor(frames: number) {
    this.cells = Array.from({ length: BLOCK }, () => new Float64Array(frames));
    this.frame = Array.from({ length: BLOCK }, () => new Int32Array(frames));
  }

  fill(plane: Plane, power: Float32Array, firstBin: number, levels: Levels): void {
    const { bins, starts } = plane.grid;
    const width = Math.min(BLOCK, bins - firstBin);
    // one factor a frame for the block: the slope hardly varies over 16 bins
    const follow = levels.follow[firstBin + (width >> 1)]!;
    this.count.fill(0);
    for (let k = 0; k < starts.length; k++) {
      const factor = Math.exp(-follow * levels.excitation[k]!);
      const from = firstBin + (levels.shift?.[k] ?? 0);
      const row = k * bins;
      for (let i = 0; i < width; i++) {
        const bin = from + i;
        if (bin < 1 || bin >= bins || plane.mask[row + bin] !== 0) continue;
        const at = this.count[i]!++;
        this.cells[i]![at] = power[row + bin]! * factor;
        this.frame[i]![at] = k;
      }
    }
  }
}

/** What a block of cells is levelled and moved by. */
interface Levels {
  readonly excitation: Float64Array;
  readonly follow: Float64Array;
  readonly shift: Int32Array | null;
}

/** Adds the capped cells of one bin to the means of the speed classes. */
function addClasses(
  block: Block,
  i: number,
  into: { cap: number; classOf: Uint8Array; bin: number; classes: readonly SpeedClass[] },
): void {
  const cells = block.cells[i]!;
  const frame = block.frame[i]!;
  for (let at = 0; at < block.count[i]!; at++) {
    const c = into.classes[into.classOf[frame[at]!]!];
    if (c === undefined) continue;
    c.density[into.bin]! += Math.min(into.cap, cells[at]!);
    c.frames[into.bin]! += 1;
  }
}

/** What to average. */
export interface AverageRequest {
  /** Index of the axis in the plane. */
  readonly axis: number;
  readonly levelling: Levelling;
  /** Speed class (0, 1, 2; another number: none) of each frame, or null when the speed hardly varies. */
  readonly classOf: Uint8Array | null;
  /** Half-open range of bins; others are left NaN. Default: all. */
  readonly range?: readonly [from: number, to: number];
  /** Bins by which each frame is read higher: follows what moves. Default: none. */
  readonly shift?: Int32Array | null;
}

/**
 * The masked, levelled, trimmed mean spectrum of one axis: the k = 0.9 n smallest of the n free cells of each bin,
 * divided by what the k smallest of n unit exponentials sum to. Exact in the mean for exponential cells.
 *
 * @param plane the plane
 * @see method note, measured on simulated flights
 */
export function maskedAverage(plane: Plane, request: AverageRequest): FixedAverage {
  const { bins, starts } = plane.grid;
  const { axis, levelling, classOf } = request;
  const [from, to] = request.range ?? [0, bins];
  const density = new Float64Array(bins).fill(Number.NaN);
  const frames = new Float64Array(bins);
  const classes = (classOf === null ? [] : [0, 1, 2]).map(() => emptyClass(bins));
  const block = new Block(starts.length);
  const scratch = new Float64Array(starts.length);
  const levels = {
    excitation: levelling.excitation,
    follow: levelling.follow[axis]!,
    shift: request.shift ?? null,
  };
  for (let first = from; first < to; first += BLOCK) {
    block.fill(plane, plane.axes[axis]!.power, first, levels);
    for (let i = 0; i < Math.min(BLOCK, to - first); i++) {
      const n = block.count[i]!;
      const bin = first + i;
      frames[bin] = n;
      if (n < LEAST_FRAMES) continue;
      scratch.set(block.cells[i]!.subarray(0, n));
      const mean = trimmedMean(scratch, n);
      density[bin] = mean;
      if (classOf !== null) addClasses(block, i, { cap: CAP * mean, classOf, bin, classes });
    }
  }
  for (const c of classes) for (let b = from; b < to; b++) c.density[b]! /= c.frames[b]! * CAPPED_MEAN;
  return {
    df: binSpacing(plane.grid),
    density,
    frames,
    shape: frames.map((n) => n * SHAPE_PER_FRAME),
    classes,
  };
}

/** The trimmed mean of the first n cells. */
function trimmedMean(cells: Float64Array, n: number): number {
  return trimmedExponentialMean(cells, n - Math.floor(TRIM * n), n);
}

function emptyClass(bins: number): SpeedClass {
  return { density: new Float64Array(bins), frames: new Float64Array(bins) };
}
