import { type Detrend, detrendInto } from "./detrend.js";
import { realFft } from "./fft.js";
import { enbw, type WindowName, windowEnergy, windowOf } from "./window.js";

/** A window by name, or its weights. */
export type WindowChoice = WindowName | Float64Array;

export interface SegmentOptions {
  /** N, samples */
  readonly segmentLength: number;
  /** Default: periodic Hann. */
  readonly window?: WindowChoice | undefined;
  /** Default: the segment's mean. */
  readonly detrend?: Detrend | undefined;
  /** Length of the transform; zeros are appended to reach it. Default: segmentLength. */
  readonly nfft?: number | undefined;
}

/** Window, plan and buffers for many segments of one length, allocated once. */
export interface SegmentTransform {
  readonly window: Float64Array;
  readonly nfft: number;
  readonly bins: number;
  /** ENBW in bins of fs / N. */
  readonly enbw: number;
  /** Σw² */
  readonly energy: number;
  /** Σw */
  readonly sum: number;
  /** The detrended, windowed segment's spectrum, interleaved re, im. The same array every time: read it at once. */
  at(x: Float32Array | Float64Array, start: number): Float64Array;
}

/**
 * Makes the one transform that Welch spectra, cross-spectra and short-time spectra share.
 *
 * @throws {RangeError} if the window's length is not the segment's, or the transform is shorter than the segment
 */
export function segmentTransform(options: SegmentOptions): SegmentTransform {
  const { segmentLength, detrend = "constant", nfft = segmentLength } = options;
  const window = weightsOf(options.window ?? "hann", segmentLength);
  if (nfft < segmentLength) throw new RangeError(`nfft ${nfft} is shorter than the segment ${segmentLength}`);
  const plan = realFft(nfft);
  const padded = new Float64Array(nfft);
  const spectrum = new Float64Array(2 * plan.bins);
  return {
    window,
    nfft,
    bins: plan.bins,
    enbw: enbw(window),
    energy: windowEnergy(window),
    sum: window.reduce((total, w) => total + w, 0),
    at(x, start) {
      detrendInto(x, start, detrend, window, padded);
      plan.forward(padded, spectrum);
      return spectrum;
    },
  };
}

/** The weights of a window given by name or as they are. */
export function weightsOf(choice: WindowChoice, length: number): Float64Array {
  if (typeof choice === "string") return windowOf(choice, length);
  if (choice.length !== length) {
    throw new RangeError(`the window has ${choice.length} weights, the segment ${length} samples`);
  }
  return choice;
}

/**
 * Factor of a bin in a one-sided spectrum: 1 at zero and at Nyquist, which have no mirror image, 2 elsewhere.
 * An odd length has no bin at Nyquist.
 */
export function oneSidedFactor(bin: number, nfft: number): 1 | 2 {
  return bin === 0 || 2 * bin === nfft ? 1 : 2;
}

/** Frequencies of the bins, Hz: k · sampleRate / nfft. */
export function binFrequencies(nfft: number, sampleRate: number): Float64Array {
  return Float64Array.from({ length: Math.floor(nfft / 2) + 1 }, (_, k) => (k * sampleRate) / nfft);
}
