import { edof } from "./edof.js";
import { oneSidedFactor, segmentTransform, type WindowChoice, weightsOf } from "./segment-transform.js";
import type { FrameGrid, ShortTimeSpectrum, Spectrum } from "./spectrum.js";
import { type Series, withInterval } from "./welch.js";
import { enbw } from "./window.js";

/**
 * One-sided PSD of every frame of a grid, the mean of each frame removed.
 *
 * @param x series, finite wherever a frame lies
 * @param grid where the frames are, from `frameGrid`
 * @param window default: periodic Hann
 * @returns `power[frame · bins + bin]`, unit²/Hz, computed in double and kept in single precision
 * @throws {RangeError} if a frame leaves the series
 * @see G. Heinzel, A. Rüdiger, R. Schilling, 2002, eq. 23 (scaling)
 * @example shortTimeSpectrum(x, grid).power.length // frames · bins
 */
export function shortTimeSpectrum(
  x: Series,
  grid: FrameGrid,
  window: WindowChoice = "hann",
): ShortTimeSpectrum {
  const { segmentLength, sampleRate, starts, bins } = grid;
  const last = starts.length === 0 ? 0 : starts[starts.length - 1]! + segmentLength;
  if (last > x.length) throw new RangeError(`a frame ends at ${last}, the series at ${x.length}`);
  const transform = segmentTransform({ segmentLength, window });
  const scale = 1 / (sampleRate * transform.energy);
  const power = new Float32Array(starts.length * bins);
  const lastFactor = oneSidedFactor(bins - 1, segmentLength);
  for (let frame = 0; frame < starts.length; frame++) {
    const spectrum = transform.at(x, starts[frame]!);
    const row = frame * bins;
    for (let k = 0, i = 0; k < bins; k++, i += 2) {
      const re = spectrum[i]!;
      const im = spectrum[i + 1]!;
      power[row + k] = 2 * scale * (re * re + im * im);
    }
    power[row] = power[row]! / 2;
    if (lastFactor === 1 && bins > 1) power[row + bins - 1] = power[row + bins - 1]! / 2;
  }
  return { ...grid, power };
}

/**
 * The Welch spectrum that a short-time spectrum already holds: the mean over its frames, with its interval.
 *
 * @param frames short-time spectrum
 * @param window the window it was made with; default: periodic Hann
 * @param unit unit of the density, for display
 * @returns the same as `welch` on the same frames, to single precision (relative 1e-7)
 */
export function meanSpectrum(
  frames: ShortTimeSpectrum,
  window: WindowChoice = "hann",
  unit = "(deg/s)²/Hz",
): Spectrum {
  const { bins, power, starts, segmentLength, sampleRate } = frames;
  const density = new Float64Array(bins);
  for (let row = 0; row < power.length; row += bins) {
    for (let k = 0; k < bins; k++) density[k] = density[k]! + power[row + k]!;
  }
  for (let k = 0; k < bins; k++) density[k] = density[k]! / starts.length;
  const weights = weightsOf(window, segmentLength);
  return withInterval(density, {
    nfft: segmentLength,
    sampleRate,
    edof: edof(weights, starts),
    averages: starts.length,
    resolution: (enbw(weights) * sampleRate) / segmentLength,
    unit,
  });
}
