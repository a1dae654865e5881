import type { ShortTimeSpectrum } from "../spectra/spectrum.js";
import { type Level, meanLevel } from "./band-level.js";
import { median } from "./calm.js";

/** Bins beyond a line or mode that give its surroundings. */
const SIDE_BINS = 8;

/** Bins of a line in one frame, both included. */
export type BinSpan = readonly [first: number, last: number];

/**
 * RMS of what stands above its surroundings: per frame the power in a span of bins, less the level of the bins to
 * either side, mean square over the frames that count.
 *
 * @param spans where the line lies in each frame; null, or a span that leaves the spectrum: the frame does not count
 * @param keep which frames count
 */
export function excessLevel(
  spectrum: ShortTimeSpectrum,
  spans: (frame: number) => BinSpan | null,
  keep: (frame: number) => boolean,
): Level | null {
  const powers = Float64Array.from({ length: spectrum.starts.length }, (_, k) => {
    const span = keep(k) ? spans(k) : null;
    return span === null ? Number.NaN : excessPower(spectrum, k, span);
  });
  return meanLevel(powers, keep, 2);
}

function excessPower(spectrum: ShortTimeSpectrum, frame: number, [first, last]: BinSpan): number {
  const { bins, power, sampleRate, segmentLength } = spectrum;
  if (!(first >= 1 && last < bins)) return Number.NaN;
  const row = power.subarray(frame * bins, (frame + 1) * bins);
  let line = 0;
  for (let i = first; i <= last; i++) line += row[i]!;
  const sides = [
    ...row.subarray(Math.max(1, first - SIDE_BINS), first),
    ...row.subarray(last + 1, last + 1 + SIDE_BINS),
  ];
  // The median of exponential noise is ln 2 of its mean.
  const floor = sides.length === 0 ? 0 : (median(sides) / Math.LN2) * (last - first + 1);
  // A line weaker than the scatter of its surroundings may come out below zero; the mean over frames sets that right.
  return ((line - floor) * sampleRate) / segmentLength;
}
