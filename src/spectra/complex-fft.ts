import FFT from "fft.js";

/**
 * Discrete Fourier transform of complex series of one length. Data are interleaved (re, im, re, im, …) in
 * `Float64Array`s only: one array type keeps the inner loops of the transform compiled for it.
 */
export interface ComplexFft {
  readonly size: number;
  /** `out[k] = Σ data[n] exp(−2πi k n / N)`; `out` and `data` are different arrays of 2N numbers. */
  forward(data: Float64Array, out: Float64Array): void;
  /** `out[n] = (1/N) Σ data[k] exp(+2πi k n / N)` */
  inverse(data: Float64Array, out: Float64Array): void;
}

const plans = new Map<number, ComplexFft>();

/**
 * The plan for complex series of length N, any N ≥ 1: fft.js for powers of two, Bluestein's algorithm otherwise
 * (about four to five times slower). Plans are kept, so asking again costs nothing.
 *
 * @param size N, samples
 * @throws {RangeError} if N is not a whole number of at least 1
 */
export function complexFft(size: number): ComplexFft {
  if (!Number.isInteger(size) || size < 1) {
    throw new RangeError(`transform length must be a whole number of at least 1, got ${size}`);
  }
  let plan = plans.get(size);
  if (!plan) {
    plan = size === 1 ? identity() : isPowerOfTwo(size) ? powerOfTwo(size) : bluestein(size);
    plans.set(size, plan);
  }
  return plan;
}

export function isPowerOfTwo(n: number): boolean {
  return n >= 1 && Number.isInteger(Math.log2(n));
}

/**
 * The power of two nearest to n on a log scale, at least 2: transforms of such lengths are the fast ones.
 *
 * @example nearestPowerOfTwo(2000) // 2048
 */
export function nearestPowerOfTwo(n: number): number {
  return 2 ** Math.max(1, Math.round(Math.log2(n)));
}

function identity(): ComplexFft {
  const copy = (data: Float64Array, out: Float64Array): void => out.set(data);
  return { size: 1, forward: copy, inverse: copy };
}

function powerOfTwo(size: number): ComplexFft {
  const fft = new FFT(size);
  return {
    size,
    forward: (data, out) => fft.transform(out, data),
    inverse: (data, out) => fft.inverseTransform(out, data),
  };
}

/**
 * A transform of any length as a convolution with a chirp, done by transforms of a power of two.
 *
 * With k n = (k² + n² − (k − n)²) / 2: X_k = c_k Σ (x_n c_n) c*_{k−n}, c_n = exp(−πi n² / N).
 *
 * @see L. I. Bluestein, IEEE Trans. Audio Electroacoust. AU-18(4), 1970
 */
function bluestein(size: number): ComplexFft {
  const length = 2 ** Math.ceil(Math.log2(2 * size - 1));
  const inner = complexFft(length);
  const chirp = chirpOf(size);
  const kernel = new Float64Array(2 * length);
  inner.forward(wrappedConjugate(chirp, length), kernel);
  const a = new Float64Array(2 * length);
  const b = new Float64Array(2 * length);

  const forward = (data: Float64Array, out: Float64Array): void => {
    a.fill(0);
    multiply(data, chirp, a, size);
    inner.forward(a, b);
    multiply(b, kernel, b, length);
    inner.inverse(b, a);
    multiply(a, chirp, out, size);
  };
  const swapped = new Float64Array(2 * size);
  const inverse = (data: Float64Array, out: Float64Array): void => {
    swapParts(data, swapped, 1);
    forward(swapped, out);
    swapParts(out, out, 1 / size);
  };
  return { size, forward, inverse };
}

/** exp(−πi n² / N); n² is reduced modulo 2N first, which keeps the angle exact. */
function chirpOf(size: number): Float64Array {
  const chirp = new Float64Array(2 * size);
  for (let n = 0; n < size; n++) {
    const angle = (Math.PI * ((n * n) % (2 * size))) / size;
    chirp[2 * n] = Math.cos(angle);
    chirp[2 * n + 1] = -Math.sin(angle);
  }
  return chirp;
}

/** The chirp's conjugate laid around zero on a circle of `length` samples. */
function wrappedConjugate(chirp: Float64Array, length: number): Float64Array {
  const out = new Float64Array(2 * length);
  for (let n = 0; n < chirp.length / 2; n++) {
    for (const at of n === 0 ? [0] : [n, length - n]) {
      out[2 * at] = chirp[2 * n]!;
      out[2 * at + 1] = -chirp[2 * n + 1]!;
    }
  }
  return out;
}

/** out = a · b over the first `count` complex numbers; `out` may be `a`. */
function multiply(a: Float64Array, b: Float64Array, out: Float64Array, count: number): void {
  for (let i = 0; i < 2 * count; i += 2) {
    const re = a[i]! * b[i]! - a[i + 1]! * b[i + 1]!;
    out[i + 1] = a[i]! * b[i + 1]! + a[i + 1]! * b[i]!;
    out[i] = re;
  }
}

/** Exchanges real and imaginary parts: turns a forward transform into an inverse one. */
function swapParts(data: Float64Array, out: Float64Array, scale: number): void {
  for (let i = 0; i < data.length; i += 2) {
    const re = data[i]!;
    out[i] = data[i + 1]! * scale;
    out[i + 1] = re * scale;
  }
}
