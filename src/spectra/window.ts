/**
 * Windows for spectral analysis. Every one is a sum of cosines over one period, so a row of coefficients is
 * all that a window needs: `w(n) = Σ c_k cos(2π k n / D)`, with D = N (periodic) or N − 1 (symmetric).
 *
 * Sources of the coefficients: hann, hamming, blackman: F. J. Harris, Proc. IEEE 66(1), 1978; blackmanHarris: the
 * 4-term minimum of the same paper; flatTop: the five-term window of ISO 18431-2 family (D'Antona & Ferrero,
 * Digital Signal Processing for Measurement Systems, 2006); hft…: G. Heinzel, A. Rüdiger, R. Schilling, Spectrum
 * and spectral density estimation by the DFT, 2002, appendix C and D.
 */
const COSINES = {
  boxcar: [1],
  hann: [0.5, -0.5],
  hamming: [0.54, -0.46],
  blackman: [0.42, -0.5, 0.08],
  blackmanHarris: [0.35875, -0.48829, 0.14128, -0.01168],
  flatTop: [0.21557895, -0.41663158, 0.277263158, -0.083578947, 0.006947368],
  hft90d: [1, -1.942604, 1.340318, -0.440811, 0.043097],
  hft95: [1, -1.9383379, 1.3045202, -0.402827, 0.0350665],
  hft116d: [1, -1.9575375, 1.4780705, -0.6367431, 0.1228389, -0.0066288],
  hft144d: [1, -1.96760033, 1.57983607, -0.81123644, 0.22583558, -0.02773848, 0.0009036],
  hft196d: [
    1, -1.97928042, 1.710288951, -1.081629853, 0.448734314, -0.112376628, 0.015122992, -0.000871252,
    0.000011896,
  ],
  hft248d: [
    1, -1.985844164102, 1.791176438506, -1.282075284005, 0.667777530266, -0.240160796576, 0.056656381764,
    -0.008134974479, 0.00062454465, -0.000019808998, 0.000000132974,
  ],
} as const satisfies Record<string, readonly number[]>;

export type WindowName = keyof typeof COSINES;
export const WINDOW_NAMES = Object.keys(COSINES) as readonly WindowName[];

/** Periodic windows suit transforms of frames; symmetric ones suit the design of filters. */
export type Symmetry = "periodic" | "symmetric";

/**
 * A window by name.
 *
 * @param name which window
 * @param length N ≥ 1 samples
 * @param symmetry periodic (default) or symmetric
 * @returns N dimensionless weights; the hft… windows have mean 1, the others a largest value of 1
 * @throws {RangeError} if the length is not a whole number of at least 1
 * @example windowOf("hann", 4) // [0, 0.5, 1, 0.5]
 */
export function windowOf(name: WindowName, length: number, symmetry: Symmetry = "periodic"): Float64Array {
  if (!Number.isInteger(length) || length < 1) {
    throw new RangeError(`window length must be a whole number of at least 1, got ${length}`);
  }
  const period = symmetry === "periodic" ? length : length - 1;
  if (period === 0) return new Float64Array([1]);
  return Float64Array.from({ length }, (_, n) => cosineSum(COSINES[name], (2 * Math.PI * n) / period));
}

function cosineSum(coefficients: readonly number[], angle: number): number {
  let sum = 0;
  for (let k = 0; k < coefficients.length; k++) sum += coefficients[k]! * Math.cos(k * angle);
  return sum;
}

/** Periodic (or symmetric) Hann window, the default of this program. @see windowOf */
export function hann(length: number, symmetry: Symmetry = "periodic"): Float64Array {
  return windowOf("hann", length, symmetry);
}

/**
 * Coherent gain: what the window leaves of a sine's amplitude, for a window scaled to a largest value of 1.
 *
 * @param window weights, length N ≥ 1
 * @returns Σw / (N · max w), dimensionless
 * @see F. J. Harris, Proc. IEEE 66(1), 1978, section IV
 * @example coherentGain(hann(1024)) // 0.5
 */
export function coherentGain(window: Float64Array): number {
  let sum = 0;
  let peak = -Infinity;
  for (const w of window) {
    sum += w;
    if (w > peak) peak = w;
  }
  return sum / (window.length * peak);
}

/**
 * Equivalent noise bandwidth (ENBW): width of the ideal filter that passes the same white-noise power.
 *
 * ENBW = N · Σw² / (Σw)². A boxcar gives 1, a periodic Hann 1.5.
 *
 * @param window weights, length N ≥ 1, dimensionless
 * @returns bandwidth in bins; times sampleRate / N gives Hz
 * @throws {RangeError} if the weights sum to zero
 * @see F. J. Harris, Proc. IEEE 66(1), 1978, eq. 11
 * @example enbw(hann(1024)) // ≈ 1.5, to 1e-12
 */
export function enbw(window: Float64Array): number {
  let sum = 0;
  for (const w of window) sum += w;
  if (sum === 0) throw new RangeError("the weights of the window sum to zero");
  return (window.length * windowEnergy(window)) / (sum * sum);
}

/** Σw², the factor between a windowed periodogram and a density. */
export function windowEnergy(window: Float64Array): number {
  let sum = 0;
  for (const w of window) sum += w * w;
  return sum;
}

/**
 * Correlation of the window with itself shifted, on a window of unit energy.
 *
 * @param window weights, length N
 * @param lag shift in samples, 0 or more
 * @returns Σ w(n) w(n + lag) / Σw², 1 at lag 0, 0 from lag N on
 * @example overlapCorrelation(hann(1024), 512) // 1/6
 */
export function overlapCorrelation(window: Float64Array, lag: number): number {
  let sum = 0;
  for (let n = lag; n < window.length; n++) sum += window[n]! * window[n - lag]!;
  return sum / windowEnergy(window);
}
