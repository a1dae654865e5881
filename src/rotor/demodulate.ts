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

/** Projections of a series on every line of a block: `r_m = 2 Σ w y e^{−iφm} / Σ w`. */
export function projections(
  y: Float32Array | Float64Array,
  start: number,
  phasors: BlockPhasors,
  window: Float64Array,
): Projections {
  const size = phasors.cos.length;
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  const { weighted, total } = weightedSeries(y, start, window);
  for (let m = 0; m < size; m++) {
    const [cos, sin] = [phasors.cos[m]!, phasors.sin[m]!];
    let sumRe = 0;
    let sumIm = 0;
    for (let n = 0; n < weighted.length; n++) {
      sumRe += weighted[n]! * cos[n]!;
      sumIm -= weighted[n]! * sin[n]!;
    }
    re[m] = (2 * sumRe) / total;
    im[m] = (2 * sumIm) / total;
  }
  return { re, im };
}

/** A block of a series without its mean, under the window; and the sum of the window. */
export function weightedSeries(
  y: Float32Array | Float64Array,
  start: number,
  window: Float64Array,
): { weighted: Float64Array; total: number } {
  let total = 0;
  let mean = 0;
  for (let n = 0; n < window.length; n++) {
    total += window[n]!;
    mean += window[n]! * y[start + n]!;
  }
  mean /= total;
  const weighted = new Float64Array(window.length);
  for (let n = 0; n < window.length; n++) weighted[n] = window[n]! * (y[start + n]! - mean);
  return { weighted, total };
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
      const [gr, gi] = [inverse.re[i * n + j]!, inverse.im[i * n + j]!];
      re[i] = re[i]! + gr * r.re[j]! - gi * r.im[j]!;
      im[i] = im[i]! + gr * r.im[j]! + gi * r.re[j]!;
    }
    explained += r.re[i]! * re[i]! + r.im[i]! * im[i]!;
  }
  return { re, im, explained };
}
