import type { CrossSpectrum } from "./cross-spectrum.js";

/**
 * Magnitude-squared coherence γ² = |S_xy|² / (S_xx S_yy): the share of y that a linear law from x explains.
 * One average always gives 1, so it means nothing without `coherenceThreshold`.
 *
 * @param cross averaged spectra from `crossSpectrum`
 * @returns γ² per bin, 0..1; NaN where either series has no power
 * @see J. S. Bendat, A. G. Piersol, Random Data, section 6.1
 * @example coherence(crossSpectrum(x, x, options)) // all 1
 */
export function coherence(cross: CrossSpectrum): Float64Array {
  return cross.re.map((re, k) => {
    const im = cross.im[k]!;
    return (re * re + im * im) / (cross.xx[k]! * cross.yy[k]!);
  });
}

/**
 * Coherence that unrelated series stay under with probability 1 − α: 1 − α^(1/(K − 1)), K = ν / 2 independent segments.
 *
 * @param edof ν, equivalent degrees of freedom of the averaged spectra
 * @param alpha probability of a false alarm per bin, default 0.05
 * @returns γ², 1 when there is no more than one independent segment
 * @see M. B. Priestley, Spectral Analysis and Time Series, 1981, p. 706
 * @example coherenceThreshold(20) // 0.2831
 */
export function coherenceThreshold(edof: number, alpha = 0.05): number {
  const segments = edof / 2;
  return segments > 1 ? 1 - alpha ** (1 / (segments - 1)) : 1;
}

/** Gain and phase from x to y. */
export interface FrequencyResponse {
  /** |H| per bin, unit of y over unit of x. */
  readonly gain: Float64Array;
  /** Phase of H per bin, rad, −π..π; negative where y lags x. */
  readonly phase: Float64Array;
}

/**
 * Frequency response H1 = S_xy / S_xx: the least-squares law from x to y, unbiased by noise in y.
 *
 * @param cross averaged spectra from `crossSpectrum`
 * @see J. S. Bendat, A. G. Piersol, Random Data, section 6.1
 */
export function frequencyResponse(cross: CrossSpectrum): FrequencyResponse {
  return {
    gain: cross.re.map((re, k) => Math.hypot(re, cross.im[k]!) / cross.xx[k]!),
    phase: cross.re.map((re, k) => Math.atan2(cross.im[k]!, re)),
  };
}
