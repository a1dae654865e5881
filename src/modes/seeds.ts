import { findPeaks } from "../spectra/peaks.js";
import { candidates, overSearch, type Scan } from "./candidates.js";
import type { FixedAverage } from "./masked-average.js";

/** A peak to fit. */
export interface Seed {
  readonly frequencyHz: number;
  readonly dampingRatio: number;
  /** Height over the floor, ratio. */
  readonly gain: number;
  /** Chance that noise anywhere on the axis stands out as much. */
  readonly searchP: number;
}

/** A dip of 1.6 dB parts two peaks, if noise does not make such dips (this many standard deviations). */
const LEAST_DIP = 0.37;
const DIP_SD = 3.5;
/** Standard deviation of ln density smoothed with ¼ ½ ¼, times √shape. */
const SMOOTH_SD = 0.8;
/** Two seeds are no closer than this many bins. */
const LEAST_SPACING_BINS = 2.5;
/** A log full of lines is no place to look for more. */
const MOST_SEEDS = 24;
const WIDTH_RANGE = [0.003, 0.05] as const;

/** ln density smoothed with ¼ ½ ¼; unknown bins take the floor. */
function smoothLog(average: FixedAverage, found: Scan): Float64Array {
  const log = average.density.map((s, b) => (s > 0 ? Math.log(s) : (found.floor.level[b] ?? -60)));
  const safe = log.map((v) => (Number.isFinite(v) ? v : -60));
  return safe.map((v, b) => 0.25 * (safe[b - 1] ?? v) + 0.5 * v + 0.25 * (safe[b + 1] ?? v));
}

/** Half-power half-width of a peak of ln density above its floor, as a damping ratio. */
function widthOf(log: Float64Array, bin: number): number {
  const half = log[bin]! - Math.LN2;
  let left = bin;
  while (left > 1 && log[left]! > half) left--;
  let right = bin;
  while (right < log.length - 1 && log[right]! > half) right++;
  const narrower = Math.min(bin - left, right - bin);
  return Math.min(WIDTH_RANGE[1], Math.max(WIDTH_RANGE[0], (narrower - 0.5) / bin));
}

/**
 * Where to start fits: the scan's candidates, and every peak of its own inside the stretches that the scan found to
 * stand out. Neighbouring modes melt into one wide candidate; their peaks keep them apart.
 *
 * @param mostP largest p-value of a bin that counts as a discovery
 * @returns strongest first
 */
export function seedsOf(average: FixedAverage, found: Scan, mostP: number): Seed[] {
  const cands = candidates(found, average.df, mostP);
  const log = smoothLog(average, found);
  const bins = cands.map((c) => ({
    bin: Math.round(c.frequencyHz / average.df),
    width: Math.max(0.004, c.width),
    searchP: c.searchP,
  }));
  for (const peak of findPeaks(log, { minProminence: LEAST_DIP })) {
    const b = peak.index;
    if (found.width[b] === 0 || found.p[b]! > mostP) continue;
    if (peak.prominence < (DIP_SD * SMOOTH_SD) / Math.sqrt(average.shape[b]! + 1e-9)) continue;
    const near = bins.findIndex((o) => Math.abs(o.bin - b) < LEAST_SPACING_BINS);
    const entry = { bin: b, width: widthOf(log, b), searchP: overSearch(found.p[b]!, found.tests) };
    if (near < 0) bins.push(entry);
    else if (near < cands.length) bins[near] = entry;
  }
  const seeds = bins.map(({ bin, width, searchP }) => ({
    frequencyHz: bin * average.df,
    dampingRatio: width,
    gain: Math.max(0.5, Math.exp(log[bin]! - found.floor.level[bin]!) - 1),
    searchP,
    strength: (log[bin]! - found.floor.level[bin]!) * Math.sqrt(average.shape[bin]!),
  }));
  return seeds
    .filter((s) => Number.isFinite(s.strength))
    .sort((a, b) => b.strength - a.strength)
    .slice(0, MOST_SEEDS);
}
