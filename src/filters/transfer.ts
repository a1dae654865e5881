import { addProducts, type ProductSums } from "../spectra/cross-spectrum.js";
import { edof } from "../spectra/edof.js";
import { segmentTransform } from "../spectra/segment-transform.js";
import type { Hertz } from "../units.js";
import type { StudyFrames } from "./study-frames.js";

/** Averaged auto- and cross-spectra of an input and an output over the frames of one level. */
export interface TransferSums {
  /** Hz */
  readonly frequency: Float64Array;
  /** Auto-spectra, unit²/Hz. */
  readonly xx: Float64Array;
  readonly yy: Float64Array;
  /** conj(X) · Y, y read `shift` samples later. */
  readonly re: Float64Array;
  readonly im: Float64Array;
  readonly frames: number;
  /** Equivalent degrees of freedom. */
  readonly edof: number;
  /** Seconds that y was moved ahead before the transform: to be added to every delay found. */
  readonly shiftS: number;
}

/** One output of a system, and by how many samples it is read later than the input. */
export interface Output {
  readonly y: Float32Array;
  /** Most of the output's delay taken off, so that both see the same stretch of signal. */
  readonly shift: number;
}

/**
 * Cross-spectra of an input with its outputs, per throttle level. Frames in which a series is not finite are left out.
 *
 * Moving y by the bulk of its delay first takes away the bias that a steep spectrum seen through a window gives to
 * the phase, and that of the part of the segment that the two do not share.
 *
 * @param x input
 * @param outputs what became of it
 * @param at frames, and how many levels they belong to
 * @returns for every output one entry per level
 * @see J. S. Bendat, A. G. Piersol, Random Data, section 9.2 (bias of the coherence of delayed signals)
 */
export function transferSums(
  x: Float32Array,
  outputs: readonly Output[],
  at: { readonly frames: StudyFrames; readonly levels: number },
): TransferSums[][] {
  const { grid, level } = at.frames;
  const input = segmentTransform({ segmentLength: grid.segmentLength });
  const output = segmentTransform({ segmentLength: grid.segmentLength });
  const sums = outputs.map(() => Array.from({ length: at.levels }, () => emptySums(grid.bins)));
  grid.starts.forEach((start, f) => {
    const a = input.at(x, start);
    // one sample that is not a number makes the whole transform so
    if (!Number.isFinite(a[2]!)) return;
    outputs.forEach(({ y, shift }, o) => {
      const b = output.at(y, start + shift);
      if (!Number.isFinite(b[2]!)) return;
      const sum = sums[o]![level[f]!]!;
      sum.starts.push(start);
      addProducts(a, b, sum);
    });
  });
  const scale = 2 / (grid.sampleRate * input.energy);
  const frequency = Float64Array.from(
    { length: grid.bins },
    (_, k) => (k * grid.sampleRate) / grid.segmentLength,
  );
  return sums.map((levels, o) =>
    levels.map((sum) =>
      averaged(sum, { scale, frequency, window: input.window, shiftS: outputs[o]!.shift / grid.sampleRate }),
    ),
  );
}

interface Averaging {
  readonly scale: number;
  readonly frequency: Float64Array;
  readonly window: Float64Array;
  readonly shiftS: number;
}

function averaged(sum: Sums, { scale, frequency, window, shiftS }: Averaging): TransferSums {
  const frames = sum.starts.length;
  const mean = (s: Float64Array): Float64Array => s.map((v) => (v * scale) / frames);
  return {
    frequency,
    xx: mean(sum.xx),
    yy: mean(sum.yy),
    re: mean(sum.re),
    im: mean(sum.im),
    frames,
    edof: edof(window, sum.starts),
    shiftS,
  };
}

interface Sums extends ProductSums {
  /** First samples of the frames added. */
  readonly starts: number[];
}

function emptySums(bins: number): Sums {
  const zeros = (): Float64Array => new Float64Array(bins);
  return { xx: zeros(), yy: zeros(), re: zeros(), im: zeros(), starts: [] };
}

/** All levels together, weighted by their frames. */
export function pooled(parts: readonly TransferSums[]): TransferSums {
  const used = parts.filter((part) => part.frames > 0);
  const total = used.reduce((sum, part) => sum + part.frames, 0);
  const mean = (pick: (part: TransferSums) => Float64Array): Float64Array =>
    parts[0]!.frequency.map((_, k) => used.reduce((sum, p) => sum + pick(p)[k]! * p.frames, 0) / total);
  return {
    frequency: parts[0]!.frequency,
    xx: mean((p) => p.xx),
    yy: mean((p) => p.yy),
    re: mean((p) => p.re),
    im: mean((p) => p.im),
    frames: total,
    edof: used.reduce((sum, part) => sum + part.edof, 0),
    shiftS: parts[0]!.shiftS,
  };
}

/** Transfer function H1 = S_xy / S_xx at one bin, the shift put back, with its coherence and relative variance. */
export interface TransferPoint {
  readonly hz: Hertz;
  readonly re: number;
  readonly im: number;
  /** γ², 0..1 */
  readonly coherence: number;
  /** Variance of the gain over its square, and of the phase in rad²: (1 − γ²) / (2 γ² (K − 2)), K = ν / 2. */
  readonly variance: number;
}

/** Even where coherence is one to the last digit some error is left: rounding, single precision. */
const LEAST_VARIANCE = 1e-9;

/** @see J. S. Bendat, A. G. Piersol, Random Data, section 9.2 (variance of H1) */
export function transferPoint(t: TransferSums, k: number): TransferPoint {
  const re = t.re[k]! / t.xx[k]!;
  const im = t.im[k]! / t.xx[k]!;
  const gamma2 = (t.re[k]! ** 2 + t.im[k]! ** 2) / (t.xx[k]! * t.yy[k]!);
  const hz = t.frequency[k]!;
  const angle = -2 * Math.PI * hz * t.shiftS;
  return {
    hz,
    re: re * Math.cos(angle) - im * Math.sin(angle),
    im: re * Math.sin(angle) + im * Math.cos(angle),
    coherence: gamma2,
    // K − 2: one degree of freedom went into H1, one stands for weights that are themselves estimates
    variance: Math.max(LEAST_VARIANCE, (1 - gamma2) / (gamma2 * Math.max(1, t.edof - 4))),
  };
}
