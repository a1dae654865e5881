import quantile from "@stdlib/stats-base-dists-t-quantile";
import type { ShortTimeSpectrum } from "../spectra/spectrum.js";
import type { Hertz, Interval } from "../units.js";

/** RMS in a band with its 95 % interval, in the unit of the series. */
export interface Level {
  readonly rms: number;
  readonly ci95: Interval;
  /** Frames behind the figure. */
  readonly frames: number;
}

/** Share of independent bins and frames with a Hann window and 50 % overlap: 1 / 1.94 · 0.95 (common correlation). */
const INDEPENDENT = 0.49;
const BLOCKS = 12;
/** Levels of one craft repeat from flight to flight no better than this, ln(power): 7.5 % of RMS (measured on simulated pairs). */
const REPEATS_TO = 0.15;

/**
 * Power in a band of every frame: Σ density · df over the bins whose centre lies in `[fromHz, toHz)`.
 *
 * @param frames short-time spectrum, unit²/Hz
 * @returns unit², one number a frame
 */
export function framePowers(frames: ShortTimeSpectrum, fromHz: Hertz, toHz: Hertz): Float64Array {
  const [first, last] = binRange(frames, fromHz, toHz);
  const df = frames.sampleRate / frames.segmentLength;
  return Float64Array.from({ length: frames.starts.length }, (_, k) => {
    const row = k * frames.bins;
    let sum = 0;
    for (let i = first; i < last; i++) sum += frames.power[row + i]!;
    return sum * df;
  });
}

/** Bins `[first, last)` whose centres lie in `[fromHz, toHz)`; bin 0, which holds the removed mean, never. */
export function binRange(
  grid: { readonly sampleRate: Hertz; readonly segmentLength: number; readonly bins: number },
  fromHz: Hertz,
  toHz: Hertz,
): [first: number, last: number] {
  const df = grid.sampleRate / grid.segmentLength;
  const first = Math.max(1, Math.ceil(fromHz / df - 1e-9));
  const last = Math.min(grid.bins, Math.ceil(toHz / df - 1e-9));
  return [first, Math.max(first, last)];
}

/**
 * Mean density over the frames that count, unit²/Hz; NaN when none does.
 *
 * @param keep which frames count; a frame that holds a number that is not finite never does
 */
export function meanDensity(frames: ShortTimeSpectrum, keep: (frame: number) => boolean): Float64Array {
  const { bins, power, starts } = frames;
  const mean = new Float64Array(bins);
  let count = 0;
  for (let k = 0; k < starts.length; k++) {
    if (!keep(k) || !Number.isFinite(power[k * bins + 1] ?? 0)) continue;
    for (let i = 0; i < bins; i++) mean[i] = mean[i]! + power[k * bins + i]!;
    count++;
  }
  return mean.map((sum) => sum / count);
}

/**
 * Power between two frequencies of a density, taken as constant over each bin (±df / 2), so that a band narrower
 * than a bin gets its share.
 *
 * @param density unit²/Hz at 0, df, 2 df, …
 * @example powerBetween(new Float64Array([0, 2, 2, 2]), 1, [1, 2.5]) // 3
 */
export function powerBetween(density: Float64Array, df: number, [fromHz, toHz]: Interval): number {
  let sum = 0;
  const last = Math.min(density.length - 1, Math.ceil(toHz / df + 0.5));
  for (let i = Math.max(0, Math.floor(fromHz / df - 0.5)); i <= last; i++) {
    const overlap = Math.min(toHz, (i + 0.5) * df) - Math.max(fromHz, (i - 0.5) * df);
    if (overlap > 0) sum += density[i]! * overlap;
  }
  return sum;
}

/**
 * Mean of frame powers as an RMS, with an interval from how much blocks of the flight differ.
 *
 * The chosen frames are cut into up to 12 runs of equal length; the scatter of the runs' means gives the standard
 * error, so that weather and throttle are in the interval, not only the chi-square scatter of noise, which is kept
 * as the least possible; what flights of one craft differ by anyway is added. The interval is symmetric in the logarithm, with Student's t for the number of runs.
 *
 * @param powers power of every frame, unit²
 * @param keep which frames count
 * @param bins bins behind each power, ≥ 1
 * @returns null when no frame counts
 * @example meanLevel(new Float64Array(48).fill(4), () => true, 10).rms // 2
 */
export function meanLevel(
  powers: ArrayLike<number>,
  keep: (frame: number) => boolean,
  bins: number,
): Level | null {
  const kept: number[] = [];
  for (let k = 0; k < powers.length; k++) {
    if (keep(k) && Number.isFinite(powers[k]!)) kept.push(powers[k]!);
  }
  if (kept.length === 0) return null;
  const mean = average(kept);
  const rms = Math.sqrt(mean);
  if (mean <= 0) return { rms: 0, ci95: [0, 0], frames: kept.length };
  const half = Math.hypot(logHalfWidth(kept, mean, bins), REPEATS_TO) / 2;
  return { rms, ci95: [rms * Math.exp(-half), rms * Math.exp(half)], frames: kept.length };
}

/** Half-width of the 95 % interval of ln(power). */
function logHalfWidth(kept: readonly number[], mean: number, bins: number): number {
  const noise = 1.96 / Math.sqrt(kept.length * Math.max(1, bins) * INDEPENDENT);
  const runs = Math.min(BLOCKS, Math.floor(kept.length / 2));
  if (runs < 3) return Math.max(1.5, noise);
  const means = Array.from({ length: runs }, (_, j) =>
    average(kept.slice(Math.round((j * kept.length) / runs), Math.round(((j + 1) * kept.length) / runs))),
  );
  const variance = means.reduce((sum, m) => sum + (m / mean - 1) ** 2, 0) / (runs - 1);
  return Math.max(noise, quantile(0.975, runs - 1) * Math.sqrt(variance / runs));
}

function average(values: readonly number[]): number {
  return values.reduce((sum, v) => sum + v, 0) / values.length;
}
