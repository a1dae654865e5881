import type { Random } from "./random.js";

/**
 * Gaussian noise with unit variance, twice low-passed at `cutoffHz`: smooth enough for gusts and control effort.
 * Its one-sided PSD is `slowDensity(f, cutoffHz)`.
 */
export function slowNoise(
  random: Random,
  length: number,
  options: { rate: number; cutoffHz: number },
): Float64Array {
  const keep = Math.exp((-2 * Math.PI * options.cutoffHz) / options.rate);
  const drive = Math.sqrt((1 - keep * keep) ** 3 / (1 + keep * keep));
  const out = new Float64Array(length);
  let a = 0;
  let b = 0;
  const warm = Math.min(20000, Math.ceil(options.rate / options.cutoffHz));
  for (let i = -warm; i < length; i++) {
    a = keep * a + drive * random.normal();
    b = keep * b + a;
    if (i >= 0) out[i] = b;
  }
  return out;
}

/** One-sided PSD of `slowNoise` for frequencies well below its rate, 1/Hz; integrates to 1. */
export function slowDensity(f: number, cutoffHz: number): number {
  const x = f / cutoffHz;
  return 4 / (Math.PI * cutoffHz * (1 + x * x) ** 2);
}
