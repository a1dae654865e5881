import { shortTimeSpectrum } from "../spectra/short-time.js";
import { median } from "../stats/median.js";
import { quantile } from "../stats/quantile.js";

const MOST_LOOKED_AT = 20000;
/** Share of moves by several steps from which their spacing is trusted. */
const LIVELY = 0.03;
/** Rows of a frame in which the rhythm of changes is looked for, and how many frames. */
const FRAME = 1024;
const MOST_FRAMES = 48;
/** A frame needs so many changes to have a rhythm. */
const FEWEST_CHANGES = 12;
/** Longest period sought, rows. */
const LONGEST = 100;
/** How far the rhythm must stand out of the other frequencies. */
const CLEAR = 8;
/** A rhythm's multiples are as strong as itself: the slowest line with this share of the strongest is the rhythm. */
const SLOWEST_SHARE = 0.5;

/**
 * Rows between fresh readings of a speed report that holds its value in between and is rounded.
 *
 * A rounded reading may stand for several refreshes, but it changes only at one: the changes have a rhythm, a line in
 * their spectrum at one over the period. Where that does not stand out, the usual stretch between moves by several
 * rounding steps tells, if the speed is lively enough. A report that is fresh in every row shows neither.
 *
 * @param at rows at which the report changed
 * @param hz its value there
 * @param step rounding step of the report
 * @returns 1 when every row is fresh
 * @example refreshRows(Int32Array.of(0, 10, 20, 40), …) // 10, given enough changes
 */
export function refreshRows(at: Int32Array, hz: Float64Array, step: number): number {
  return periodOfChanges(at) ?? periodOfMoves(at, hz, step) ?? 1;
}

/** Period of the strongest rhythm in the rows of change; null when none stands out. */
function periodOfChanges(at: Int32Array): number | null {
  const { power, bins, density } = rhythm(at);
  if (bins === 0) return null;
  const from = Math.max(4, Math.floor(FRAME / LONGEST));
  const strongest = power.subarray(from).reduce((a, b) => Math.max(a, b), 0);
  if (!(strongest > CLEAR * median(power.subarray(from)))) return null;
  let slowest = power.findIndex((p, k) => k >= from && p > SLOWEST_SHARE * strongest);
  while (slowest + 1 < bins && power[slowest + 1]! > power[slowest]!) slowest++;
  const frequency = topOf(power, slowest) / FRAME;
  // More changes than the rhythm allows: it is that of a period under two rows, seen folded.
  const period = density > 1.1 * frequency ? 1 / (1 - frequency) : 1 / frequency;
  return period > 1.05 ? period : null;
}

/** Mean spectrum of the changes over the frames that have enough of them; the densest frame's changes a row. */
function rhythm(at: Int32Array): { power: Float64Array; bins: number; density: number } {
  const rows = (at.at(-1) ?? 0) + 1;
  const changed = new Uint8Array(Math.max(FRAME, rows));
  for (const row of at) changed[row] = 1;
  const all = Math.floor((changed.length - FRAME) / (FRAME / 2)) + 1;
  const stride = Math.max(1, Math.floor(all / MOST_FRAMES));
  const starts: number[] = [];
  let density = 0;
  for (let k = 0; k < all; k += stride) {
    const start = (k * FRAME) / 2;
    let count = 0;
    for (let i = start; i < start + FRAME; i++) count += changed[i]!;
    density = Math.max(density, count / FRAME);
    if (count >= FEWEST_CHANGES) starts.push(start);
  }
  if (starts.length < 3) return { power: new Float64Array(0), bins: 0, density };
  const bins = FRAME / 2 + 1;
  // Only the frames looked at become numbers: the changes of a long log would take as much room as a column.
  const looked = new Float32Array(starts.length * FRAME);
  starts.forEach((start, k) => {
    looked.set(changed.subarray(start, start + FRAME), k * FRAME);
  });
  const frames = shortTimeSpectrum(looked, {
    sampleRate: 1,
    segmentLength: FRAME,
    hop: FRAME,
    starts: Int32Array.from(starts, (_, k) => k * FRAME),
    bins,
  });
  const power = new Float64Array(bins);
  for (let i = 0; i < frames.power.length; i++) power[i % bins] = power[i % bins]! + frames.power[i]!;
  // One-sided: the last bin, half a turn a row, has no mirror.
  power[bins - 1] = 2 * power[bins - 1]!;
  return { power, bins, density };
}

/** Top of the parabola through a peak and its neighbours, in bins. */
function topOf(power: Float64Array, k: number): number {
  const [a, b, c] = [power[k - 1], power[k], power[k + 1]];
  if (a === undefined || b === undefined || c === undefined) return k;
  const [x, y, z] = [Math.log(a + 1e-30), Math.log(b + 1e-30), Math.log(c + 1e-30)];
  const curved = x - 2 * y + z;
  return curved < 0 ? k + Math.max(-0.5, Math.min(0.5, (x - z) / (2 * curved))) : k;
}

function periodOfMoves(at: Int32Array, hz: Float64Array, step: number): number | null {
  const stride = Math.max(1, Math.floor(at.length / MOST_LOOKED_AT));
  const several = (i: number): boolean => Math.abs(hz[i]! - hz[i - 1]!) > 1.5 * step;
  const lengths: number[] = [];
  let looked = 0;
  for (let i = 2; i < at.length; i += stride) {
    looked++;
    if (several(i) && several(i - 1)) lengths.push(at[i]! - at[i - 1]!);
  }
  if (lengths.length < Math.max(8, LIVELY * looked)) return null;
  const middle = quantile(lengths, 0.5);
  const usual = lengths.filter((n) => n > 0.4 * middle && n < 1.6 * middle);
  return usual.reduce((sum, n) => sum + n, 0) / usual.length;
}
