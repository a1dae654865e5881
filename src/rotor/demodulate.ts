import type { Hertz } from "../units.js";
import { type ComplexMatrix, hermitianInverse } from "./hermitian.js";
import { turned } from "./turned.js";

/** Ridge of the joint least squares, as a share of the mean diagonal. */
const RIDGE = 0.003;

/** Unit phasors exp(iφ) of several lines over one block, `phase` integrated from their speeds. */
export interface BlockPhasors {
  readonly length: number;
  readonly cos: readonly Float64Array[];
  readonly sin: readonly Float64Array[];
}

/**
 * Phasors of one order of every motor over a block; the phase is the integral of the speed (trapezium rule), 0 at
 * the block's first sample. A line above Nyquist needs no care: its samples are the folded line's samples.
 *
 * @param speeds one track per motor, Hz
 * @param order multiple of the speed
 * @param block first sample, phasors wanted, rate of the tracks, and how many samples lie between phasors (1)
 */
export function blockPhasors(
  speeds: readonly Float32Array[],
  order: number,
  block: {
    readonly start: number;
    readonly length: number;
    readonly sampleRate: Hertz;
    readonly stride?: number;
  },
): BlockPhasors {
  const { start, length, sampleRate, stride = 1 } = block;
  const scale = (Math.PI * order * stride) / sampleRate;
  const lines = speeds.map((hz) => turned(phases(hz, scale, { start, length, stride })));
  return { length, cos: lines.map((line) => line.cos), sin: lines.map((line) => line.sin) };
}

/** @param scale phase from one phasor to the next over the sum of the speeds at both, rad/Hz */
function phases(
  hz: Float32Array,
  scale: number,
  { start, length, stride }: { readonly start: number; readonly length: number; readonly stride: number },
): Float64Array {
  const phase = new Float64Array(length);
  let sum = 0;
  let before = hz[start]!;
  for (let n = 1; n < length; n++) {
    const now = hz[start + n * stride]!;
    sum += scale * (before + now);
    before = now;
    phase[n] = sum;
  }
  return phase;
}

/**
 * Normal matrix of the lines under a window, scaled so that its diagonal is 1: `G_mn = Σ w e^{i(φn − φm)} / Σ w`.
 * Phase differences change slowly, so every `stride`-th sample is enough.
 */
export function gramMatrix(phasors: BlockPhasors, window: Float64Array, stride = 4): ComplexMatrix {
  const size = phasors.cos.length;
  const re = new Float64Array(size * size);
  const im = new Float64Array(size * size);
  let total = 0;
  for (let n = stride >> 1; n < phasors.length; n += stride) total += window[n]!;
  for (let i = 0; i < size; i++) {
    for (let j = 0; j <= i; j++) {
      const [ci, si, cj, sj] = [phasors.cos[i]!, phasors.sin[i]!, phasors.cos[j]!, phasors.sin[j]!];
      let sumRe = 0;
      let sumIm = 0;
      for (let n = stride >> 1; n < phasors.length; n += stride) {
        const w = window[n]!;
        sumRe += w * (ci[n]! * cj[n]! + si[n]! * sj[n]!);
        sumIm += w * (ci[n]! * sj[n]! - si[n]! * cj[n]!);
      }
      re[i * size + j] = sumRe / total;
      im[i * size + j] = sumIm / total;
      re[j * size + i] = sumRe / total;
      im[j * size + i] = -sumIm / total;
    }
  }
  return { size, re, im };
}

/** What a series holds on every line of a block, unit of the series. */
export interface Projections {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/** Series of one block, each without its mean and under the window, and the sum of the window. */
export interface WeightedBlock {
  readonly series: readonly Float64Array[];
  readonly total: number;
}

/** Makes a block of series ready for projections, `window.length` samples from `start`. */
export function weightedBlock(
  series: readonly (Float32Array | Float64Array)[],
  start: number,
  window: Float64Array,
): WeightedBlock {
  let total = 0;
  for (let n = 0; n < window.length; n++) total += window[n]!;
  return { series: series.map((y) => weighted(y, start, { window, total })), total };
}

function weighted(
  y: Float32Array | Float64Array,
  start: number,
  { window, total }: { readonly window: Float64Array; readonly total: number },
): Float64Array {
  let mean = 0;
  for (let n = 0; n < window.length; n++) mean += window[n]! * y[start + n]!;
  mean /= total;
  const out = new Float64Array(window.length);
  for (let n = 0; n < out.length; n++) out[n] = window[n]! * (y[start + n]! - mean);
  return out;
}

/** Projections of every series on every line of a block: `r_m = 2 Σ w y e^{−iφm} / Σ w`. */
export function projections({ series, total }: WeightedBlock, phasors: BlockPhasors): Projections[] {
  const size = phasors.cos.length;
  const found = series.map(() => ({ re: new Float64Array(size), im: new Float64Array(size) }));
  for (let m = 0; m < size; m++) {
    // Three series in a pass: the sums wait for one another's additions, not for memory.
    for (let i = 0; i < series.length; i += 3) {
      const three = [series[i]!, series[i + 1] ?? series[i]!, series[i + 2] ?? series[i]!] as const;
      const sums = projectThree(three, phasors.cos[m]!, phasors.sin[m]!);
      for (let j = i; j < Math.min(i + 3, series.length); j++) {
        found[j]!.re[m] = (2 * sums[2 * (j - i)]!) / total;
        found[j]!.im[m] = (2 * sums[2 * (j - i) + 1]!) / total;
      }
    }
  }
  return found;
}

/** Σ y e^{−iφ} of three series: real and imaginary part of each. */
function projectThree(
  [a, b, c]: readonly [Float64Array, Float64Array, Float64Array],
  cos: Float64Array,
  sin: Float64Array,
): readonly number[] {
  let [aRe, aIm, bRe, bIm, cRe, cIm] = [0, 0, 0, 0, 0, 0];
  for (let n = 0; n < a.length; n++) {
    const x = cos[n]!;
    const y = sin[n]!;
    aRe += a[n]! * x;
    aIm -= a[n]! * y;
    bRe += b[n]! * x;
    bIm -= b[n]! * y;
    cRe += c[n]! * x;
    cIm -= c[n]! * y;
  }
  return [aRe, aIm, bRe, bIm, cRe, cIm];
}

/** Amplitudes of all lines of a block at once, complex, unit of the series. */
export interface BlockAmplitudes {
  readonly re: Float64Array;
  readonly im: Float64Array;
  /** Power explained by the lines together: Re Σ r* a. */
  readonly explained: number;
}

/** Inverse normal matrix of a block, ready for any number of series; null when it cannot be inverted. */
export function separator(phasors: BlockPhasors, window: Float64Array, ridge = RIDGE): ComplexMatrix | null {
  return hermitianInverse(gramMatrix(phasors, window), ridge);
}

/**
 * Joint least squares: what each line contributes when all are fitted together, so that motors a few Hz apart do
 * not count each other's vibration.
 *
 * @param inverse from `separator`
 * @param r from `projections`
 */
export function separate(inverse: ComplexMatrix, r: Projections): BlockAmplitudes {
  const n = inverse.size;
  const re = new Float64Array(n);
  const im = new Float64Array(n);
  let explained = 0;
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) {
      const gr = inverse.re[i * n + j]!;
      const gi = inverse.im[i * n + j]!;
      re[i] = re[i]! + gr * r.re[j]! - gi * r.im[j]!;
      im[i] = im[i]! + gr * r.im[j]! + gi * r.re[j]!;
    }
    explained += r.re[i]! * re[i]! + r.im[i]! * im[i]!;
  }
  return { re, im, explained };
}
