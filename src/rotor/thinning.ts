import type { Hertz } from "../units.js";

/** Samples kept for every turn of a line: more are averaged away beforehand, at a known gain near 1. */
const SAMPLES_A_TURN = 8;

/**
 * How many samples may be averaged into one so that a line stays far below the thinned rate's Nyquist.
 *
 * @param speeds one track per motor, Hz, NaN where unknown
 * @param order multiple of the speed
 * @param sampleRate of the log, Hz
 * @returns 1 when there is nothing to spare
 * @example thinning([Float32Array.of(100)], 1, 8000) // 10
 */
export function thinning(speeds: readonly Float32Array[], order: number, sampleRate: Hertz): number {
  const stride = Math.max(1, Math.round(0.05 * sampleRate));
  let fastest: Hertz = 0;
  for (const hz of speeds) {
    for (let i = 0; i < hz.length; i += stride) if (hz[i]! > fastest) fastest = hz[i]!;
  }
  if (fastest === 0) return 1;
  return Math.max(1, Math.floor(sampleRate / (SAMPLES_A_TURN * order * fastest)));
}

/**
 * Means of every few samples of a block.
 *
 * @param block first sample, means wanted, samples in each
 */
export function averaged(
  y: Float32Array,
  { start, length, every }: { start: number; length: number; every: number },
): Float32Array | Float64Array {
  if (every === 1) return y.subarray(start, start + length);
  const out = new Float64Array(length);
  for (let n = 0; n < length; n++) {
    let sum = 0;
    for (let i = start + n * every, end = i + every; i < end; i++) sum += y[i]!;
    out[n] = sum / every;
  }
  return out;
}

/**
 * What a mean of `every` samples leaves of a line: sin(πfN/fs) / (N sin(πf/fs)).
 *
 * @example averagingGain(100, 10, 8000) // 0.9747
 */
export function averagingGain(f: Hertz, every: number, sampleRate: Hertz): number {
  const x = (Math.PI * f) / sampleRate;
  return every === 1 ? 1 : Math.sin(every * x) / (every * Math.sin(x));
}
