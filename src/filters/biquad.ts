import { checkBelowNyquist, normalised, type Section } from "./section.js";

/** Quality factor of a second-order low-pass without a peak whose phase is the flattest still level: Butterworth. */
export const BUTTERWORTH_Q = Math.SQRT1_2;

/**
 * Second-order low-pass, bilinear with the corner held in place. With Q = 1/√2 it is the Butterworth filter.
 *
 * @param hz corner, Hz
 * @param rate sampling rate of the loop that runs the filter, Hz
 * @param q quality factor, dimensionless; default 1/√2
 * @throws {RangeError} unless 0 < hz < rate / 2
 * @see R. Bristow-Johnson, Audio EQ Cookbook, W3C Note, 8 June 2021, "LPF"
 * @example lowPass2(100, 4000).b[0] // 0.00554271721028
 */
export function lowPass2(hz: number, rate: number, q: number = BUTTERWORTH_Q): Section {
  checkBelowNyquist(hz, rate);
  const w = (2 * Math.PI * hz) / rate;
  const alpha = Math.sin(w) / (2 * q);
  // 1 − cos w without cancellation at low corners
  const rise = 2 * Math.sin(w / 2) ** 2;
  return normalised([rise / 2, rise, rise / 2], [1 + alpha, -2 * Math.cos(w), 1 - alpha]);
}

/**
 * Notch whose analogue prototype has quality factor Q. The bilinear map squeezes its −3 dB width below hz / Q;
 * this is the notch most controllers run. `notchByWidth` keeps the width instead.
 *
 * @param hz centre, Hz
 * @param rate sampling rate, Hz
 * @param q quality factor of the prototype
 * @throws {RangeError} unless 0 < hz < rate / 2
 * @see R. Bristow-Johnson, Audio EQ Cookbook, W3C Note, 8 June 2021, "notch"
 * @example dcDelay(notch(200, 4000, 5)) // 0.63138 samples = cot(w₀/2) / (2Q)
 */
export function notch(hz: number, rate: number, q: number): Section {
  checkBelowNyquist(hz, rate);
  const w = (2 * Math.PI * hz) / rate;
  const alpha = Math.sin(w) / (2 * q);
  const middle = -2 * Math.cos(w);
  return normalised([1, middle, 1], [1 + alpha, middle, 1 - alpha]);
}

/**
 * Notch whose −3 dB width is exactly hz / Q after the bilinear map: the other convention, as in `iirnotch` of SciPy.
 *
 * @param hz centre, Hz
 * @param rate sampling rate, Hz
 * @param q centre over −3 dB width
 * @throws {RangeError} unless 0 < hz < rate / 2
 * @see S. J. Orfanidis, Introduction to Signal Processing, 1996, section 11.3 (the source SciPy names)
 * @example notchByWidth(60, 200, 30).b[0] // 0.969531252909
 */
export function notchByWidth(hz: number, rate: number, q: number): Section {
  checkBelowNyquist(hz, rate);
  const w = (2 * Math.PI * hz) / rate;
  const beta = Math.tan(w / q / 2);
  const middle = -2 * Math.cos(w);
  return normalised([1, middle, 1], [1 + beta, middle, 1 - beta]);
}

/**
 * First-order low-pass, bilinear with the corner held in place: the first-order Butterworth filter.
 *
 * @param hz corner, Hz
 * @param rate sampling rate, Hz
 * @throws {RangeError} unless 0 < hz < rate / 2
 * @see A. V. Oppenheim, R. W. Schafer, Discrete-Time Signal Processing, section 7.1 (bilinear transformation)
 * @example dcDelay(lowPass1(100, 4000)) // 6.3531 samples
 */
export function lowPass1(hz: number, rate: number): Section {
  checkBelowNyquist(hz, rate);
  const u = Math.tan((Math.PI * hz) / rate);
  return normalised([u, u, 0], [1 + u, u - 1, 0]);
}
