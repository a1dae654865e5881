import type { Timeline } from "../timeline/timeline.js";
import type { Hertz, Interval, Seconds } from "../units.js";
import { spreadOut } from "./blocks.js";
import { type DelayBlock, delayBlocks, explainedPower } from "./delay-blocks.js";
import { type Estimate, pooled, steadyShift, type Unit, unitsOf } from "./delay-fit.js";

const EARLIEST: Seconds = -0.012;
const LATEST: Seconds = 0.06;
const FEWEST = 6;
const COARSE_BLOCKS = 24;
/** What lags within gyro, clock and motors leave at best (measured on simulated flights), s. */
const UNMODELLED: Seconds = 0.0005;
/** An interval wider than this says nothing, s. */
const WIDEST: Seconds = 0.05;

/** How late the speed report is against the gyro. */
export interface Delay {
  readonly delayS: Seconds;
  readonly ci95S: Interval;
  /** How much later than the gyro the cleaned report is to be read: the delay and the row's own share. */
  readonly readLaterS: Seconds;
}

export interface DelayOptions {
  /** Multiples of the speed whose lines stand out, the clearest first: the others are sought near its delay. */
  readonly orders: readonly number[];
  /** Readings come less often than rows: a fresh one is seen up to a row late, half a row on average. */
  readonly slowRefresh: boolean;
}

/**
 * Estimates the delay from the lines: where speed changes, lines demodulated with a report that is late or early
 * smear. The shift sought is the one at which all motors' lines together explain most power, block by block and axis
 * by axis.
 *
 * A line that sweeps through a mode is turned in phase by it, which looks like a delay of up to 1 / (2πζf), tens of
 * milliseconds, but only near the mode and on its axes: a redescending estimate over blocks and axes keeps the shift
 * that most agree on (see `steadyShift`). Orders pass a mode at different speeds, and a higher one smears more, so
 * each clear order makes an estimate of its own; they are pooled (see `pooled`). What a mode adds to an order's delay
 * falls with the line's frequency, 1 / (2πζf).
 *
 * @param timeline flight
 * @param speeds mechanical speed per motor, Hz, NaN where unknown, not yet corrected
 * @param options orders to use
 * @returns null when there is no gyro, too few blocks, or the interval would be wider than ±50 ms
 */
export function estimateDelay(
  timeline: Timeline,
  speeds: readonly Float32Array[],
  { orders, slowRefresh }: DelayOptions,
): Delay | null {
  const { sampleRate } = timeline;
  const single: Estimate[] = [];
  for (const order of orders) {
    const known = single[0] && Math.round(single[0].offset * sampleRate);
    const found = orderDelay(timeline, speeds, { order, known });
    if (found !== null) single.push(found);
  }
  const all = pooled(single);
  if (all === null) return null;
  const rowsLateS = slowRefresh ? 0.5 / sampleRate : 0;
  const half = Math.hypot(all.half, rowsLateS, UNMODELLED);
  if (!(half < WIDEST)) return null;
  const delayS = all.offset - rowsLateS;
  return { delayS, ci95S: [delayS - half, delayS + half], readLaterS: all.offset };
}

/** The delay that one order's lines show and half its 95 % interval, s; sought near a known shift, samples, if any. */
function orderDelay(
  timeline: Timeline,
  speeds: readonly Float32Array[],
  { order, known }: { order: number; known: number | undefined },
): Estimate | null {
  const blocks = delayBlocks(timeline, speeds, { order, reachS: LATEST });
  if (blocks.length < FEWEST) return null;
  const { sampleRate } = timeline;
  const step = Math.max(1, Math.round((0.0015 * sampleRate) / Math.sqrt(order)));
  let shift = known ?? coarseShift(spreadOut(blocks, COARSE_BLOCKS), sampleRate);
  let fit = steadyShift(unitsAt(blocks, { shift, step }));
  for (let round = 0; fit !== null && round < 2 && Math.abs(fit.offset) > 0.5 * step; round++) {
    shift += Math.round(Math.max(-4 * step, Math.min(4 * step, fit.offset)));
    if (shift < EARLIEST * sampleRate || shift > LATEST * sampleRate) return null;
    fit = steadyShift(unitsAt(blocks, { shift, step }));
  }
  if (fit === null || Math.abs(fit.offset) > 3 * step) return null;
  // The middle of an even number of averaged samples lies half a sample before the phasor it is held against.
  const { every } = blocks[0]!;
  const offset = (shift + fit.offset + (every >> 1) - (every - 1) / 2) / sampleRate;
  return { offset, half: fit.half / sampleRate, scale: 1 / order };
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

/** The explained power about a shift as units of the fit, per block and axis. */
function unitsAt(blocks: readonly DelayBlock[], { shift, step }: { shift: number; step: number }): Unit[] {
  return unitsOf(
    blocks.map((block) => ({
      hz: block.hz,
      low: explainedPower(block, shift - step),
      mid: explainedPower(block, shift),
      high: explainedPower(block, shift + step),
    })),
    step,
  );
}
