import type { Hertz } from "../units.js";
import { type ComplexMatrix, hermitianInverse } from "./hermitian.js";

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
  const cos = speeds.map(() => new Float64Array(length));
  const sin = speeds.map(() => new Float64Array(length));
  const scale = (Math.PI * order * stride) / sampleRate;
  speeds.forEach((hz, m) => {
    let phase = 0;
    let before = hz[start]!;
    for (let n = 0; n < length; n++) {
      const now = hz[start + n * stride]!;
      if (n > 0) phase += scale * (before + now);
      before = now;
      cos[m]![n] = Math.cos(phase);
      sin[m]![n] = Math.sin(phase);
    }
  });
  return { length, cos, sin };
}

/**
 * The same lines moved by a constant frequency. Their normal matrix stays as it is: only differences of phase enter.
 *
 * @param phasors of the lines
 * @param shift Hz over the rate of the phasors
 */
export function shifted(phasors: BlockPhasors, shift: number): BlockPhasors {
  const { length } = phasors;
  const turn = turning(length, shift);
  const cos = phasors.cos.map(() => new Float64Array(length));
  const sin = phasors.sin.map(() => new Float64Array(length));
  for (let m = 0; m < cos.length; m++) {
    const [c, s, outC, outS] = [phasors.cos[m]!, phasors.sin[m]!, cos[m]!, sin[m]!];
    for (let n = 0; n < length; n++) {
      outC[n] = c[n]! * turn.cos[n]! - s[n]! * turn.sin[n]!;
      outS[n] = s[n]! * turn.cos[n]! + c[n]! * turn.sin[n]!;
    }
  }
  return { length, cos, sin };
}

/** exp(2πi · shift · n) by repeated turning. */
function turning(length: number, shift: number): { cos: Float64Array; sin: Float64Array } {
  const [stepC, stepS] = [Math.cos(2 * Math.PI * shift), Math.sin(2 * Math.PI * shift)];
  const cos = new Float64Array(length);
  const sin = new Float64Array(length);
  let [c, s] = [1, 0];
  for (let n = 0; n < length; n++) {
    cos[n] = c;
    sin[n] = s;
    const next = c * stepC - s * stepS;
    s = c * stepS + s * stepC;
    c = next;
  }
  return { cos, sin };
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

/** Projections of a series on every line of a block: `r_m = 2 Σ w y e^{−iφm} / Σ w`. */
export function projections(
  y: Float32Array | Float64Array,
  start: number,
  phasors: BlockPhasors,
  window: Float64Array,
): { re: Float64Array; im: Float64Array } {
  const size = phasors.cos.length;
  const { length } = phasors;
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  const weighted = new Float64Array(length);
  let total = 0;
  let mean = 0;
  for (let n = 0; n < length; n++) {
    total += window[n]!;
    mean += window[n]! * y[start + n]!;
  }
  mean /= total;
  for (let n = 0; n < length; n++) weighted[n] = window[n]! * (y[start + n]! - mean);
  for (let m = 0; m < size; m++) {
    const [cos, sin] = [phasors.cos[m]!, phasors.sin[m]!];
    let sumRe = 0;
    let sumIm = 0;
    for (let n = 0; n < length; n++) {
      sumRe += weighted[n]! * cos[n]!;
      sumIm -= weighted[n]! * sin[n]!;
    }
    re[m] = (2 * sumRe) / total;
    im[m] = (2 * sumIm) / total;
  }
  return { re, im };
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
export function separate(
  inverse: ComplexMatrix,
  r: { readonly re: Float64Array; readonly im: Float64Array },
): BlockAmplitudes {
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
