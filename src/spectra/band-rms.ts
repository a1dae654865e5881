import type { Hertz, Interval } from "../units.js";
import { chiSquareFactors } from "./interval.js";
import type { Spectrum } from "./spectrum.js";
import { enbw, type WindowName, windowOf } from "./window.js";

/** Level of a signal in a frequency band. */
export interface BandLevel {
  /** Root mean square, unit of the signal. */
  readonly rms: number;
  readonly ci95: Interval;
  /** Equivalent degrees of freedom of the band's power. */
  readonly edof: number;
}

/**
 * RMS between two frequencies, with its 95 % interval.
 *
 * Each bin counts with the share of its width that lies in the band. Over 0..Nyquist the mean square is the variance.
 * The band's degrees of freedom are those of a weighted sum of correlated chi-squares:
 * ν_band = ν (Σ p_k)² / Σ_j Σ_k p_j p_k r_{j−k}, p_k the power of bin k in the band and r_m the squared correlation of
 * bins m apart that the window causes (1, 4/9, 1/36 for Hann). A lone strong line leaves about ν, a flat band about
 * the number of bins times ν / 1.94.
 *
 * @param spectrum density from `welch`
 * @param fromHz lower end
 * @param toHz upper end; cut at Nyquist
 * @param window the one the spectrum was made with; default "hann"
 * @returns NaN when the band holds nothing (toHz ≤ fromHz) or the spectrum has no average
 * @see F. E. Satterthwaite, Biometrics Bull. 2, 1946 (degrees of freedom of a sum)
 * @see D. B. Percival, A. T. Walden, 1993, section 6.6 (correlation of neighbouring bins of a tapered periodogram)
 * @example bandRms(flatDensityOfOne, 10, 14).rms // 2
 */
export function bandRms(
  spectrum: Spectrum,
  fromHz: Hertz,
  toHz: Hertz,
  window: WindowName = "hann",
): BandLevel {
  const power = bandPowers(spectrum, fromHz, toHz);
  const total = power.reduce((sum, p) => sum + p, 0);
  if (power.length === 0 || Number.isNaN(total)) {
    return { rms: Number.NaN, ci95: [Number.NaN, Number.NaN], edof: 0 };
  }
  const correlation = binCorrelation(spectrum, window);
  let pairs = 0;
  for (let j = 0; j < power.length; j++) {
    pairs += power[j]! ** 2;
    for (let m = 1; m < correlation.length && j + m < power.length; m++) {
      pairs += 2 * power[j]! * power[j + m]! * correlation[m]!;
    }
  }
  const edof = total > 0 ? (spectrum.edof * total * total) / pairs : spectrum.edof;
  const [low, high] = chiSquareFactors(edof);
  return { rms: Math.sqrt(total), ci95: [Math.sqrt(total * low), Math.sqrt(total * high)], edof };
}

/** Power of each bin inside the band, unit², from the first bin touched to the last. */
function bandPowers(spectrum: Spectrum, fromHz: Hertz, toHz: Hertz): number[] {
  const { frequency, density } = spectrum;
  const last = frequency.length - 1;
  const width = last > 0 ? frequency[1]! - frequency[0]! : 0;
  const powers: number[] = [];
  for (let k = 0; k <= last; k++) {
    const low = Math.max(fromHz, k === 0 ? 0 : frequency[k]! - width / 2);
    const high = Math.min(toHz, k === last ? frequency[k]! : frequency[k]! + width / 2);
    // The bins at both ends are half as wide on a one-sided axis but hold all of their power, undoubled.
    const share = (k === 0 || k === last ? 2 : 1) * (high - low);
    if (share > 0) powers.push(density[k]! * share);
  }
  return powers;
}

/** Squared correlation of bins m apart, m = 0, 1, …, until it has died out. */
function binCorrelation(spectrum: Spectrum, name: WindowName): number[] {
  // The shape does not depend on the length; 128 samples hold the squares of all our windows.
  const window = windowOf(name, 128);
  const segmentBin = spectrum.resolution / enbw(window);
  const step = (spectrum.frequency[1]! - spectrum.frequency[0]!) / segmentBin;
  const correlation: number[] = [];
  for (let m = 0; m * step <= 24; m++) correlation.push(spectralCorrelation(window, m * step));
  return correlation;
}

/** |Σ w² exp(−2πi b n / N)|² / (Σ w²)²: squared correlation of two frequencies b bins apart in white noise. */
function spectralCorrelation(window: Float64Array, bins: number): number {
  let re = 0;
  let im = 0;
  let energy = 0;
  for (let n = 0; n < window.length; n++) {
    const square = window[n]! ** 2;
    const angle = (2 * Math.PI * bins * n) / window.length;
    re += square * Math.cos(angle);
    im += square * Math.sin(angle);
    energy += square;
  }
  return (re * re + im * im) / (energy * energy);
}
