import { complexFft } from "./complex-fft.js";

export { complexFft, isPowerOfTwo, nearestPowerOfTwo } from "./complex-fft.js";

/** Discrete Fourier transform of real series of one length. */
export interface RealFft {
  /** N, samples */
  readonly size: number;
  /** N / 2 + 1, rounded down */
  readonly bins: number;
  /**
   * `X_k = Σ x_n exp(−2πi k n / N)` for k = 0 … bins − 1.
   *
   * @param x N samples, left as they are
   * @param out 2 · bins numbers, interleaved re, im
   */
  forward(x: Float64Array, out: Float64Array): void;
}

const plans = new Map<number, RealFft>();

/**
 * The plan for real series of length N, any N ≥ 1. An even length costs one complex transform of N / 2 (no wasted
 * half); powers of two are fastest. Plans are kept.
 *
 * @param size N, samples
 * @throws {RangeError} if N is not a whole number of at least 1
 * @example realFft(4).forward([1, 0, 0, 0], out) // out = [1, 0, 1, 0, 1, 0]
 */
export function realFft(size: number): RealFft {
  let plan = plans.get(size);
  if (!plan) {
    plan = size % 2 === 0 ? packed(size) : padded(size);
    plans.set(size, plan);
  }
  return plan;
}

/**
 * Even lengths: a real series of N numbers, read as N / 2 interleaved complex ones, holds even samples as real and
 * odd samples as imaginary parts. One complex transform of N / 2 then gives both halves, to be untangled.
 *
 * @see W. H. Press et al., Numerical Recipes, section "FFT of Single Real Function"
 */
function packed(size: number): RealFft {
  const half = complexFft(size / 2);
  const tangled = new Float64Array(size);
  const twiddle = twiddles(size);
  return {
    size,
    bins: size / 2 + 1,
    forward(x, out) {
      half.forward(x, tangled);
      untangle(tangled, twiddle, out);
    },
  };
}

/** Odd lengths: the imaginary parts are zeros. */
function padded(size: number): RealFft {
  const full = complexFft(size);
  const data = new Float64Array(2 * size);
  const spectrum = new Float64Array(2 * size);
  const bins = (size + 1) / 2;
  return {
    size,
    bins,
    forward(x, out) {
      for (let n = 0; n < size; n++) data[2 * n] = x[n]!;
      full.forward(data, spectrum);
      for (let i = 0; i < 2 * bins; i++) out[i] = spectrum[i]!;
    },
  };
}

/** exp(−2πi k / N), k = 0 … N / 4 */
function twiddles(size: number): Float64Array {
  const out = new Float64Array(2 * (Math.floor(size / 4) + 1));
  for (let k = 0; k < out.length / 2; k++) {
    out[2 * k] = Math.cos((2 * Math.PI * k) / size);
    out[2 * k + 1] = -Math.sin((2 * Math.PI * k) / size);
  }
  return out;
}

/**
 * E_k = (Z_k + Z*_{H−k}) / 2 (even samples), O_k = −i (Z_k − Z*_{H−k}) / 2 (odd samples), H = N / 2;
 * X_k = E_k + W_k O_k and X_{H−k} = (E_k − W_k O_k)*.
 */
function untangle(z: Float64Array, twiddle: Float64Array, out: Float64Array): void {
  const half = z.length >> 1;
  out[0] = z[0]! + z[1]!;
  out[1] = 0;
  out[2 * half] = z[0]! - z[1]!;
  out[2 * half + 1] = 0;
  for (let k = 2, j = z.length - 2; k <= j; k += 2, j -= 2) {
    const evenRe = 0.5 * (z[k]! + z[j]!);
    const evenIm = 0.5 * (z[k + 1]! - z[j + 1]!);
    const oddRe = 0.5 * (z[k + 1]! + z[j + 1]!);
    const oddIm = 0.5 * (z[j]! - z[k]!);
    const turnedRe = twiddle[k]! * oddRe - twiddle[k + 1]! * oddIm;
    const turnedIm = twiddle[k]! * oddIm + twiddle[k + 1]! * oddRe;
    out[k] = evenRe + turnedRe;
    out[k + 1] = evenIm + turnedIm;
    out[j] = evenRe - turnedRe;
    out[j + 1] = turnedIm - evenIm;
  }
}
