import type { Hertz } from "../units.js";
import { type Complex, response } from "./response.js";
import type { Section } from "./section.js";

/** A path from the raw gyro: filters, and perhaps the difference that makes a D-term. */
export interface Path {
  readonly sections: readonly Section[];
  readonly loopRate: Hertz;
  /** Whether the path takes the difference of two samples times the loop rate. */
  readonly derivative: boolean;
}

/** Complex response of a path at a frequency that may be negative (then the conjugate of the positive one). */
export function pathResponse({ sections, loopRate, derivative }: Path, hz: Hertz): Complex {
  const h = response(sections, hz, loopRate);
  if (!derivative) return h;
  const w = (2 * Math.PI * hz) / loopRate;
  const [dr, di] = [loopRate * (1 - Math.cos(w)), loopRate * Math.sin(w)];
  return { re: h.re * dr - h.im * di, im: h.re * di + h.im * dr };
}

/**
 * What a transfer function measured in a thinned log shows: white noise that folded down from above the log's Nyquist
 * went through the path at its true frequency, so H1 = (1 − ρ) H(f) + ρ · mean of H(f + k · log rate) over the images.
 *
 * @param path filters at loop rate
 * @param hz frequency in the log
 * @param log rate of the log, Hz, and ρ, the share of the raw gyro's density at hz that folded down
 * @see A. V. Oppenheim, R. W. Schafer, Discrete-Time Signal Processing, section 4.6 (sampling rate reduction)
 */
export function foldedResponse(
  path: Path,
  hz: Hertz,
  log: { readonly rate: Hertz; readonly share: number },
): Complex {
  const own = pathResponse(path, hz);
  const images = Math.round(path.loopRate / log.rate);
  if (images < 2 || log.share <= 0) return own;
  let [re, im] = [0, 0];
  // the images of one two-sided period of the loop's spectrum, this frequency itself left out
  for (let k = 1; k < images; k++) {
    const shifted = hz + k * log.rate;
    const image = pathResponse(path, shifted > path.loopRate / 2 ? shifted - path.loopRate : shifted);
    re += image.re;
    im += image.im;
  }
  const folded = log.share / (images - 1);
  return { re: (1 - log.share) * own.re + folded * re, im: (1 - log.share) * own.im + folded * im };
}

/**
 * How far folded noise turns the phase of a measured transfer function, rad.
 *
 * @param folded density of the raw gyro that folded down, and `input`, all of it at that frequency, unit²/Hz
 */
export function foldedTurn(
  path: Path,
  hz: Hertz,
  log: { readonly rate: Hertz; readonly folded: number; readonly input: number },
): number {
  const own = pathResponse(path, hz);
  const seen = foldedResponse(path, hz, { rate: log.rate, share: Math.min(0.95, log.folded / log.input) });
  return Math.atan2(seen.im * own.re - seen.re * own.im, seen.re * own.re + seen.im * own.im);
}
