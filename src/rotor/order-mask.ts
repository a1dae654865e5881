import type { FrameGrid } from "../spectra/spectrum.js";
import { hann } from "../spectra/window.js";
import { median } from "../stats/median.js";
import type { Hertz } from "../units.js";
import type { OrderLine, RotorEstimate } from "./rotor.js";

/** Bins on either side of a line's path that the skirt of the periodic Hann window fills (−47 dB at 4 bins). */
const GUARD_BINS = 4;
const LEAST_COVERAGE = 0.35;
/** Orders below this level may be left out of the mask when it would cover too much, dB. */
const FAINT_DB = 4.3;
const NARROWEST = 0.04;
/** Orders that every rotor has, whether they stood out or not. */
const ALWAYS = [1, 2, 3];
/** Where fewer of the frames are free, an order that never stood out hides more than it spoils. */
const LEAST_FREE_SHARE = 0.15;

/**
 * Cells of the time-frequency plane touched by any order of any motor, folded ones included; orders that never stood out do
 * not count where they would hide a bin in nearly every frame.
 *
 * The width follows from the change of speed within the frame, the skirt of the window, and the spread of speeds
 * where only a common speed is known. Where the mask would leave less than 35 % of the frames free at the typical
 * frequency, the faintest orders are dropped and the widths reduced (method note, measured on simulated flights).
 *
 * @param grid frames, bins and rate
 * @param rotor its tracks, orders and band are used
 * @returns frames × bins, row-major, 1 = touched; all zero when nothing is known of what turns
 */
export function orderMask(grid: FrameGrid, rotor: RotorEstimate): Uint8Array {
  const size = grid.starts.length * grid.bins;
  if (rotor.tracks.length === 0) return new Uint8Array(size);
  const ranges = speedRanges(grid, rotor);
  let orders = maskedOrders(rotor.orders);
  let shrink = 1;
  let touched = cellsByOrder(grid, ranges, orders, shrink);
  while (coverage(touched, grid) < LEAST_COVERAGE) {
    const faint = faintest(orders);
    if (faint) {
      orders = orders.filter((o) => o !== faint);
      touched = withoutOrder(touched, faint.bit);
      continue;
    }
    if (!orders.some((o) => o.halfWidth * shrink * 0.8 >= NARROWEST)) break;
    shrink *= 0.8;
    touched = cellsByOrder(grid, ranges, orders, shrink);
  }
  return maskOf(touched, grid, silentBits(orders, rotor.orders));
}

/** The bits of the orders that never stood out. */
function silentBits(orders: readonly MaskedOrder[], found: readonly OrderLine[]): number {
  return orders
    .filter(({ order }) => found.every((o) => o.order !== order))
    .reduce((bits, o) => bits | o.bit, 0);
}

/** 1 where an order lies; where that hides a bin in nearly every frame, those that never stood out do not count. */
function maskOf(touched: Uint16Array, { bins, starts }: FrameGrid, silent: number): Uint8Array {
  const free = freeFrames(touched, bins);
  const counted = Uint16Array.from(free, (n) => (n < LEAST_FREE_SHARE * starts.length ? ~silent : ~0));
  const mask = new Uint8Array(touched.length);
  for (let row = 0; row < touched.length; row += bins) {
    for (let b = 0; b < bins; b++) mask[row + b] = (touched[row + b]! & counted[b]!) === 0 ? 0 : 1;
  }
  return mask;
}

/** Frames of every bin in which nothing lies. */
function freeFrames(touched: Uint16Array, bins: number): Float64Array {
  const free = new Float64Array(bins);
  for (let row = 0; row < touched.length; row += bins) {
    for (let b = 0; b < bins; b++) if (touched[row + b] === 0) free[b]!++;
  }
  return free;
}

/**
 * Cells that one order of any motor touches, whether the mask holds it or left it out.
 *
 * @returns frames × bins, row-major, 1 = touched
 */
export function orderPath(
  grid: FrameGrid,
  rotor: RotorEstimate,
  { order, levelDb, halfWidth }: OrderLine,
): Uint8Array {
  const line = { order, levelDb, halfWidth, bit: 1 };
  return Uint8Array.from(cellsByOrder(grid, speedRanges(grid, rotor), [line], 1));
}

interface MaskedOrder extends Pick<OrderLine, "order" | "levelDb" | "halfWidth"> {
  /** One bit per order, so that one can be taken out again. */
  readonly bit: number;
}

function maskedOrders(found: readonly OrderLine[]): MaskedOrder[] {
  const first = found.find((o) => o.order === 1)?.halfWidth ?? found[0]?.halfWidth ?? 0;
  const silent = ALWAYS.filter((order) => found.every((o) => o.order !== order)).map((order) => ({
    order,
    levelDb: 0,
    halfWidth: 0.8 * first,
  }));
  return [...found, ...silent].slice(0, 16).map((o, i) => ({ ...o, bit: 1 << i }));
}

/** Whether an order may be left out of the mask where it would cover too much. */
export function mayBeLeftOut({ order, levelDb }: Pick<OrderLine, "order" | "levelDb">): boolean {
  return order !== 1 && levelDb < FAINT_DB;
}

function faintest(orders: readonly MaskedOrder[]): MaskedOrder | undefined {
  return orders.filter(mayBeLeftOut).sort((a, b) => a.levelDb - b.levelDb)[0];
}

/** Lowest and highest speed of every track in every frame: `[low, high]` pairs, frame-major. */
function speedRanges(grid: FrameGrid, rotor: RotorEstimate): Float64Array {
  const { starts, sampleRate } = grid;
  const [skip, span] = energyPart(grid.segmentLength);
  const stride = Math.max(1, Math.round(0.008 * sampleRate));
  const count = rotor.tracks.length;
  const out = new Float64Array(starts.length * count * 2);
  for (let k = 0; k < starts.length; k++) {
    for (let m = 0; m < count; m++) {
      const { hz } = rotor.tracks[m]!;
      let low = Number.POSITIVE_INFINITY;
      let high = Number.NEGATIVE_INFINITY;
      const from = starts[k]! + skip;
      for (let i = from; i <= from + span; i += stride) {
        const f = hz[i]!;
        if (f < low) low = f;
        if (f > high) high = f;
      }
      // A speed that is unknown in a frame may be anything that was flown.
      if (low > high) [low, high] = rotor.bandHz ?? [0, 0];
      out[2 * (k * count + m)] = low;
      out[2 * (k * count + m) + 1] = high;
    }
  }
  return out;
}

/** The part of a frame that holds 1..99 % of the squared Hann window: samples skipped, samples spanned. */
function energyPart(segmentLength: number): [skip: number, span: number] {
  const window = hann(segmentLength);
  const total = window.reduce((sum, w) => sum + w * w, 0);
  let sum = 0;
  let skip = 0;
  for (; skip < segmentLength / 2; skip++) {
    sum += window[skip]! ** 2;
    if (sum > 0.01 * total) break;
  }
  return [skip, segmentLength - 2 * skip];
}

function cellsByOrder(
  grid: FrameGrid,
  ranges: Float64Array,
  orders: readonly MaskedOrder[],
  shrink: number,
): Uint16Array {
  const { bins } = grid;
  const frames = grid.starts.length;
  const tracks = ranges.length / (2 * frames);
  const cells = new Uint16Array(frames * bins);
  for (let k = 0; k < frames; k++) {
    const row = cells.subarray(k * bins, (k + 1) * bins);
    for (let m = 0; m < tracks; m++) {
      const low = ranges[2 * (k * tracks + m)]!;
      const high = ranges[2 * (k * tracks + m) + 1]!;
      for (const { order, halfWidth, bit } of orders) {
        const width = halfWidth > 0 ? Math.max(Math.min(halfWidth, NARROWEST), halfWidth * shrink) : 0;
        markFolded(row, [order * low * (1 - width), order * high * (1 + width)], { grid, bit });
      }
    }
  }
  return cells;
}

/** Marks a band of true frequencies where it shows, piece by piece between the folds. */
function markFolded(
  row: Uint16Array,
  [from, to]: readonly [Hertz, Hertz],
  { grid, bit }: { grid: FrameGrid; bit: number },
): void {
  const nyquist = grid.sampleRate / 2;
  const perHz = grid.segmentLength / grid.sampleRate;
  for (let piece = Math.floor(from / nyquist); piece * nyquist <= to; piece++) {
    const a = Math.max(from, piece * nyquist) - piece * nyquist;
    const b = Math.min(to, (piece + 1) * nyquist) - piece * nyquist;
    const [low, high] = piece % 2 === 0 ? [a, b] : [nyquist - b, nyquist - a];
    const first = Math.max(0, Math.floor(low * perHz) - GUARD_BINS);
    const last = Math.min(row.length - 1, Math.ceil(high * perHz) + GUARD_BINS);
    for (let bin = first; bin <= last; bin++) row[bin] = row[bin]! | bit;
  }
}

function withoutOrder(cells: Uint16Array, bit: number): Uint16Array {
  return cells.map((bits) => bits & ~bit);
}

/** Median over frequency above 30 Hz of the share of frames left free. */
function coverage(cells: Uint16Array, grid: FrameGrid): number {
  const frames = grid.starts.length;
  if (frames === 0) return 1;
  const first = Math.min(grid.bins - 1, Math.ceil((30 * grid.segmentLength) / grid.sampleRate));
  return median(freeFrames(cells, grid.bins).subarray(first)) / frames;
}
