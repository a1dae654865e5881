import type { Hertz } from "../units.js";

/**
 * Where a line shows in a log sampled too slowly for it.
 *
 * `|f − fs · round(f / fs)|`: a line above Nyquist comes back down, so that a rising speed shows as a falling line,
 * and above `fs` it rises again.
 *
 * @param frequency true frequency, Hz, ≥ 0
 * @param sampleRate of the log, Hz, > 0
 * @returns shown frequency in 0..sampleRate / 2, Hz
 * @see the sampling theorem; any text on digital signals, e.g. Oppenheim & Schafer, Discrete-Time Signal Processing
 * @example fold(620, 1000) // 380
 */
export function fold(frequency: Hertz, sampleRate: Hertz): Hertz {
  return Math.abs(frequency - sampleRate * Math.round(frequency / sampleRate));
}
