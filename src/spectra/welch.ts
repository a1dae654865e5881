import { medianInPlace } from "../stats/median.js";
import type { Span } from "../timeline/timeline.js";
import { edof, medianEdof } from "./edof.js";
import { frameGrid, hopFor } from "./frame-grid.js";
import { chiSquareFactors } from "./interval.js";
import {
  binFrequencies,
  oneSidedFactor,
  type SegmentOptions,
  type SegmentTransform,
  segmentTransform,
} from "./segment-transform.js";
import type { Spectrum } from "./spectrum.js";

export type Series = Float32Array | Float64Array;

export interface WelchOptions extends SegmentOptions {
  readonly sampleRate: number;
  /** Share of a segment that it has in common with the next one, 0 ≤ overlap < 1. Default 0.5. */
  readonly overlap?: number | undefined;
  /** `density` (unit²/Hz, default) for noise, `spectrum` (unit²: mean square of a sine at its bin) for lines. */
  readonly scaling?: "density" | "spectrum" | undefined;
  /** How the segments are combined. The median (divided by its bias) withstands a few wild segments. Default: mean. */
  readonly average?: "mean" | "median" | undefined;
  /** Parts to use; no segment leaves them. Default: the whole series. */
  readonly spans?: readonly Span[] | undefined;
  /** 1 where a sample may be used; no segment touches another. Default: everywhere. */
  readonly valid?: Uint8Array | undefined;
  /** Unit of the result, for display. Default "(deg/s)²/Hz". */
  readonly unit?: string | undefined;
}

/**
 * One-sided power spectral density by Welch's method: the mean of the periodograms of windowed, overlapping segments.
 *
 * S_k = 2 |X_k|² / (fs Σw²), without the 2 at zero and Nyquist. The integral over frequency is the variance.
 *
 * @param x series; finite wherever a segment may lie
 * @param options segmentLength and sampleRate are required; a power of two is fastest
 * @returns density with its 95 % chi-square interval; when no segment fits, `averages` is 0 and the density NaN
 * @throws {RangeError} on a bad length, overlap or window
 * @see P. D. Welch, IEEE Trans. Audio Electroacoust. AU-15(2), 1967
 * @see G. Heinzel, A. Rüdiger, R. Schilling, 2002, eqs 23, 24 (scaling)
 * @example welch(sine, { sampleRate, segmentLength: 1024, scaling: "spectrum" }) // A²/2 at the sine's bin
 */
export function welch(x: Series, options: WelchOptions): Spectrum {
  const transform = segmentTransform(options);
  const starts = segmentStarts(x.length, options);
  const median = options.average === "median";
  const density = median ? medianPower(x, starts, transform) : meanPower(x, starts, transform);
  const scale = scaleOf(transform, options);
  for (let k = 0; k < density.length; k++)
    density[k] = density[k]! * scale * oneSidedFactor(k, transform.nfft);
  const dof = edof(transform.window, starts);
  return withInterval(density, {
    nfft: transform.nfft,
    sampleRate: options.sampleRate,
    edof: median ? medianEdof(dof) : dof,
    averages: starts.length,
    resolution: (transform.enbw * options.sampleRate) / options.segmentLength,
    unit: options.unit ?? "(deg/s)²/Hz",
  });
}

/** First samples of the segments that options allow in a series of `length` samples. */
export function segmentStarts(length: number, options: WelchOptions): Int32Array {
  const { sampleRate, segmentLength } = options;
  const spans = (options.spans ?? [{ from: 0, to: length }]).map(({ from, to }) => ({
    from: Math.max(0, from),
    to: Math.min(length, to),
  }));
  const hop = hopFor(segmentLength, options.overlap ?? 0.5);
  return frameGrid(spans, { sampleRate, segmentLength, hop }, options.valid).starts;
}

/** Factor from |X|² to the chosen scaling, two-sided. */
export function scaleOf(transform: SegmentTransform, options: WelchOptions): number {
  return options.scaling === "spectrum"
    ? 1 / transform.sum ** 2
    : 1 / (options.sampleRate * transform.energy);
}

/** What a bare density needs to become a `Spectrum`. */
export interface SpectrumFacts {
  readonly nfft: number;
  readonly sampleRate: number;
  readonly edof: number;
  readonly averages: number;
  readonly resolution: number;
  readonly unit: string;
}

/**
 * Puts frequencies and the 95 % interval beside a density. The bins at zero and Nyquist are real numbers, not
 * complex ones, and so have half the degrees of freedom.
 */
export function withInterval(density: Float64Array, facts: SpectrumFacts): Spectrum {
  const inner = chiSquareFactors(facts.edof);
  const edge = chiSquareFactors(facts.edof / 2);
  const factor = (k: number, side: 0 | 1): number =>
    (oneSidedFactor(k, facts.nfft) === 2 ? inner : edge)[side];
  return {
    frequency: binFrequencies(facts.nfft, facts.sampleRate),
    density,
    lower: density.map((value, k) => value * factor(k, 0)),
    upper: density.map((value, k) => value * factor(k, 1)),
    edof: facts.edof,
    averages: facts.averages,
    resolution: facts.resolution,
    unit: facts.unit,
  };
}

/** Mean of |X|² over the segments; NaN, from 0 / 0, without one. */
function meanPower(x: Series, starts: Int32Array, transform: SegmentTransform): Float64Array {
  const sum = new Float64Array(transform.bins);
  for (const start of starts) addPower(transform.at(x, start), sum);
  return sum.map((value) => value / starts.length);
}

/** Adds |X|² of an interleaved spectrum to `sum`, bin by bin. */
function addPower(spectrum: Float64Array, sum: Float64Array): void {
  for (let k = 0, i = 0; k < sum.length; k++, i += 2) {
    const re = spectrum[i]!;
    const im = spectrum[i + 1]!;
    sum[k] = sum[k]! + re * re + im * im;
  }
}

/** Median of |X|² over the segments, over the median's bias. */
function medianPower(x: Series, starts: Int32Array, transform: SegmentTransform): Float64Array {
  const { bins } = transform;
  const count = starts.length;
  const all = new Float64Array(count * bins);
  starts.forEach((start, i) => {
    addPower(transform.at(x, start), all.subarray(i * bins, (i + 1) * bins));
  });
  const column = new Float64Array(count);
  const bias = medianBias(count);
  return Float64Array.from({ length: bins }, (_, k) => {
    for (let i = 0; i < count; i++) column[i] = all[i * bins + k]!;
    return medianInPlace(column) / bias;
  });
}

/**
 * Ratio of the expected median of n exponential variables to their mean: 1 − 1/2 + 1/3 − … ± 1/n, n taken down to odd.
 *
 * @see B. Allen et al., Phys. Rev. D 85, 122006, 2012, appendix B
 * @example medianBias(3) // 0.8333
 */
export function medianBias(count: number): number {
  let bias = 1;
  for (let k = 1; k <= Math.floor((count - 1) / 2); k++) bias += 1 / (2 * k + 1) - 1 / (2 * k);
  return bias;
}
