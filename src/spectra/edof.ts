import { overlapCorrelation } from "./window.js";

/**
 * Equivalent degrees of freedom of the mean of windowed periodograms of overlapping segments, from where the
 * segments really start (gaps make their spacing irregular).
 *
 * ν = 2 K² / Σ_i Σ_j ρ(s_i − s_j)², ρ the correlation of the unit-energy window with itself shifted. With an even
 * spacing this is ν = 2 K / (1 + 2 Σ_m (1 − m/K) ρ_m²). Two per segment when none overlap.
 *
 * @param window weights, length N
 * @param starts first samples of the K segments, rising
 * @returns ν, dimensionless; 0 without a segment
 * @see D. B. Percival, A. T. Walden, Spectral Analysis for Physical Applications, 1993, eq. 292b
 * @example edof(hann(1024), [0, 512]) // 3.8919, = 36 K² / (19 K − 1) with K = 2
 */
export function edof(window: Float64Array, starts: ArrayLike<number>): number {
  const count = starts.length;
  const squares = new Map<number, number>();
  const squaredCorrelation = (lag: number): number => {
    let square = squares.get(lag);
    if (square === undefined) {
      square = overlapCorrelation(window, lag) ** 2;
      squares.set(lag, square);
    }
    return square;
  };
  let pairs = 0;
  for (let i = 0; i < count; i++) {
    for (let j = i + 1; j < count; j++) {
      const lag = starts[j]! - starts[i]!;
      if (lag >= window.length) break;
      pairs += squaredCorrelation(lag);
    }
  }
  return count === 0 ? 0 : (2 * count * count) / (count + 2 * pairs);
}

/**
 * Degrees of freedom when the periodograms are combined by their median instead of their mean.
 *
 * The median of exponential variables has the relative variance 1 / (K ln² 2), so ln² 2 = 0.48 of them are left.
 *
 * @see e.g. H. A. David, H. N. Nagaraja, Order Statistics, 2003: variance 1 / (4 K p(m)²) of a median at density p
 */
export function medianEdof(meanEdof: number): number {
  return Math.max(Math.min(2, meanEdof), meanEdof * Math.LN2 ** 2);
}
