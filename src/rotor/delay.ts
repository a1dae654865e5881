import { hann } from "../spectra/window.js";
import { analysisGyro, presentAxes, type Timeline } from "../timeline/timeline.js";
import type { Interval, Seconds } from "../units.js";
import { knownBlocks } from "./blocks.js";
import { type BlockPhasors, blockPhasors, projections, separate, separator } from "./demodulate.js";
import { fold } from "./fold.js";
import { medianOf } from "./quantile.js";

const BLOCK_S: Seconds = 0.4;
const EARLIEST: Seconds = -0.012;
const LATEST: Seconds = 0.06;
const COARSE_BLOCKS = 16;
const BLOCKS = 48;
/** An interval wider than this says nothing, s. */
const WIDEST: Seconds = 0.05;

/** How late the speed report is against the gyro. */
export interface Delay {
  readonly delayS: Seconds;
  readonly ci95S: Interval;
}

/** A block with phasors on a wider stretch, so that a shift is an index. */
interface DelayBlock {
  readonly start: number;
  readonly length: number;
  /** Samples of phasor before the block's first sample. */
  readonly margin: number;
  readonly phasors: BlockPhasors;
  /** Explained power at the best shift of the first look: blocks count alike, loud or faint. */
  scale: number;
}

/**
 * Estimates the delay from the once-per-turn lines: where speed changes, lines demodulated with a report that is
 * late or early smear. Maximum of the power that all motors' lines explain together over the shift, summed over
 * the blocks where speed changes most.
 *
 * The interval is the sandwich of an M-estimator (P. J. Huber, Robust Statistics, 1981): scatter of the blocks'
 * slopes over the square of the summed curvature, so that amplitude that wanders counts as noise.
 *
 * @param timeline flight
 * @param speeds mechanical speed per motor, Hz, NaN where unknown, not yet corrected
 * @returns null when there is no gyro, too few blocks, or the interval would be wider than 50 ms
 */
export function estimateDelay(timeline: Timeline, speeds: readonly Float32Array[]): Delay | null {
  const blocks = delayBlocks(timeline, speeds);
  if (blocks.length < 6) return null;
  const { sampleRate } = timeline;
  const coarse = coarseShift(timeline, blocks.slice(0, COARSE_BLOCKS));
  const objective = (shift: number): number =>
    blocks.reduce((sum, b) => sum + explainedPower(timeline, b, shift) / b.scale, 0);
  for (const b of blocks) b.scale = Math.max(1e-20, explainedPower(timeline, b, coarse));
  const best = climb(objective, coarse, Math.max(1, Math.round(0.002 * sampleRate)));
  return withInterval(timeline, blocks, best);
}

function delayBlocks(timeline: Timeline, speeds: readonly Float32Array[]): DelayBlock[] {
  const { sampleRate } = timeline;
  const length = Math.round(BLOCK_S * sampleRate);
  const margin = Math.ceil(1.1 * LATEST * sampleRate);
  const hop = Math.max(1, length >> 1);
  const starts = knownBlocks(timeline, speeds, { length, hop, margin }).filter((start) =>
    readable(speeds, start + (length >> 1), sampleRate),
  );
  return starts
    .map((start) => ({ start, change: speedChange(speeds, start, length) }))
    .sort((a, b) => b.change - a.change)
    .slice(0, BLOCKS)
    .map(({ start }) => ({
      start,
      length,
      margin,
      phasors: blockPhasors(speeds, 1, { start: start - margin, length: length + 2 * margin, sampleRate }),
      scale: 1,
    }));
}

/** A line that shows next to zero or to Nyquist meets its own mirror image. */
function readable(speeds: readonly Float32Array[], at: number, sampleRate: number): boolean {
  return speeds.every((hz) => {
    const shown = fold(hz[at]!, sampleRate);
    return shown > 5 / BLOCK_S && shown < sampleRate / 2 - 5 / BLOCK_S;
  });
}

/** Range of the motors' mean speed within a block, Hz. */
function speedChange(speeds: readonly Float32Array[], start: number, length: number): number {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let i = start; i < start + length; i += Math.max(1, length >> 4)) {
    const mean = speeds.reduce((sum, hz) => sum + hz[i]!, 0) / speeds.length;
    low = Math.min(low, mean);
    high = Math.max(high, mean);
  }
  return high - low;
}

/** Power explained by all motors' lines when the report is read `shift` samples later. */
function explainedPower(timeline: Timeline, block: DelayBlock, shift: number): number {
  const from = block.margin + shift;
  const phasors: BlockPhasors = {
    length: block.length,
    cos: block.phasors.cos.map((c) => c.subarray(from, from + block.length)),
    sin: block.phasors.sin.map((s) => s.subarray(from, from + block.length)),
  };
  const window = windowFor(block.length);
  const inverse = separator(phasors, window);
  if (!inverse) return 0;
  const { series } = analysisGyro(timeline);
  return presentAxes(series).reduce(
    (sum, axis) =>
      sum + separate(inverse, projections(series[axis]!, block.start, phasors, window)).explained,
    0,
  );
}

let keptWindow = hann(16);
function windowFor(length: number): Float64Array {
  if (keptWindow.length !== length) keptWindow = hann(length);
  return keptWindow;
}

function coarseShift(timeline: Timeline, blocks: readonly DelayBlock[]): number {
  const step = Math.max(1, Math.round(0.0025 * timeline.sampleRate));
  const first = Math.round(EARLIEST * timeline.sampleRate);
  const last = Math.round(LATEST * timeline.sampleRate);
  const shifts: number[] = [];
  for (let s = first; s <= last; s += step) shifts.push(s);
  const power = blocks.map((b) => shifts.map((s) => explainedPower(timeline, b, s)));
  const scales = power.map((row) => Math.max(1e-20, ...row));
  const total = shifts.map((_, i) => power.reduce((sum, row, b) => sum + row[i]! / scales[b]!, 0));
  return shifts[total.indexOf(Math.max(...total))]!;
}

/** Hill climb with halving steps on whole samples. */
function climb(objective: (shift: number) => number, start: number, firstStep: number): number {
  let best = start;
  let value = objective(start);
  for (let step = firstStep; step >= 1; step = step > 1 ? step >> 1 : 0) {
    for (const sign of [1, -1]) {
      for (let trial = best + sign * step, next = objective(trial); next > value; trial += sign * step) {
        best = trial;
        value = next;
        next = objective(trial + sign * step);
      }
    }
  }
  return best;
}

/** Sub-sample maximum by a parabola per block, and the sandwich interval. */
function withInterval(timeline: Timeline, blocks: readonly DelayBlock[], best: number): Delay | null {
  const { sampleRate } = timeline;
  const step = Math.max(1, Math.round(0.0015 * sampleRate));
  const slopes: number[] = [];
  const curvatures: number[] = [];
  for (const b of blocks) {
    const [low, mid, high] = [best - step, best, best + step].map(
      (s) => explainedPower(timeline, b, s) / b.scale,
    );
    slopes.push((high! - low!) / (2 * step));
    curvatures.push((2 * mid! - high! - low!) / (step * step));
  }
  const curvature = curvatures.reduce((a, b) => a + b, 0);
  if (!(curvature > 0)) return null;
  const offset = slopes.reduce((a, b) => a + b, 0) / curvature;
  if (Math.abs(offset) > 3 * step) return null;
  const atBest = slopes.map((s, i) => s - curvatures[i]! * offset);
  // Blocks overlap by half: neighbours share a third of their information.
  const variance = (1.33 * atBest.reduce((sum, g) => sum + g * g, 0)) / curvature ** 2;
  const half = (1.96 * Math.sqrt(variance * (blocks.length / (blocks.length - 1)))) / sampleRate;
  if (!(half < WIDEST) || medianOf(curvatures) <= 0) return null;
  const delayS = (best + offset) / sampleRate;
  return { delayS, ci95S: [delayS - half, delayS + half] };
}
