import { edof } from "./edof.js";
import { binFrequencies, oneSidedFactor, segmentTransform } from "./segment-transform.js";
import { type Series, scaleOf, segmentStarts, type WelchOptions } from "./welch.js";

/** Averaged auto- and cross-spectra of two series over the same segments. */
export interface CrossSpectrum {
  /** Hz */
  readonly frequency: Float64Array;
  /** Auto-spectra, unit²/Hz. */
  readonly xx: Float64Array;
  readonly yy: Float64Array;
  /** Cross-spectrum conj(X) · Y: its phase is that of y after x. */
  readonly re: Float64Array;
  readonly im: Float64Array;
  readonly edof: number;
  readonly averages: number;
}

/**
 * One-sided cross-spectrum of two series by Welch's method.
 *
 * @param x first series ("input")
 * @param y second series ("output"), as long as x
 * @param options as for `welch`, mean only
 * @returns spectra over the same segments; NaN with `averages` 0 when none fits
 * @throws {RangeError} if the series differ in length
 * @see J. S. Bendat, A. G. Piersol, Random Data, chapters 5 and 11
 * @example crossSpectrum(x, x, options).im // all 0
 */
export function crossSpectrum(x: Series, y: Series, options: Omit<WelchOptions, "average">): CrossSpectrum {
  if (x.length !== y.length) throw new RangeError(`series differ in length: ${x.length}, ${y.length}`);
  const first = segmentTransform(options);
  const second = segmentTransform(options);
  const starts = segmentStarts(x.length, options);
  const { bins, nfft } = first;
  const sums: ProductSums = {
    xx: new Float64Array(bins),
    yy: new Float64Array(bins),
    re: new Float64Array(bins),
    im: new Float64Array(bins),
  };
  for (const start of starts) addProducts(first.at(x, start), second.at(y, start), sums);
  const { xx, yy, re, im } = sums;
  const scale = scaleOf(first, options) / starts.length;
  for (const spectrum of [xx, yy, re, im]) {
    for (let k = 0; k < bins; k++) spectrum[k] = spectrum[k]! * scale * oneSidedFactor(k, nfft);
  }
  return {
    frequency: binFrequencies(nfft, options.sampleRate),
    xx,
    yy,
    re,
    im,
    edof: edof(first.window, starts),
    averages: starts.length,
  };
}

/** Sums over segments of |X|², |Y|² and X*·Y, per bin. */
export interface ProductSums {
  readonly xx: Float64Array;
  readonly yy: Float64Array;
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/** Adds the products of one segment's two spectra (re, im interleaved), bin by bin. */
export function addProducts(a: Float64Array, b: Float64Array, { xx, yy, re, im }: ProductSums): void {
  for (let k = 0; k < xx.length; k++) {
    const ar = a[2 * k]!;
    const ai = a[2 * k + 1]!;
    const br = b[2 * k]!;
    const bi = b[2 * k + 1]!;
    xx[k] = xx[k]! + ar * ar + ai * ai;
    yy[k] = yy[k]! + br * br + bi * bi;
    re[k] = re[k]! + ar * br + ai * bi;
    im[k] = im[k]! + ar * bi - ai * br;
  }
}
