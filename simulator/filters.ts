import type { FilterSpec } from "./scenario.js";

/** b0 + b1 z⁻¹ + b2 z⁻² over 1 + a1 z⁻¹ + a2 z⁻². */
export interface Section {
  readonly b: readonly [number, number, number];
  readonly a: readonly [number, number];
}

/**
 * Coefficients of one filter at loop rate.
 *
 * lowpass1: y += k (x - y) with k = 1 - exp(-2π fc / rate) (impulse invariance of one pole); lowpass2 and notch:
 * R. Bristow-Johnson, Audio EQ Cookbook (W3C Note, 2021), α = sin ω0 / (2Q), low-pass Q = 1/√2 unless given.
 */
export function section(spec: FilterSpec, rate: number): Section {
  if (spec.type === "lowpass1") {
    const k = 1 - Math.exp((-2 * Math.PI * spec.cutoffHz) / rate);
    return { b: [k, 0, 0], a: [k - 1, 0] };
  }
  const notch = spec.type === "notch";
  const w = (2 * Math.PI * (notch ? spec.centreHz : spec.cutoffHz)) / rate;
  const c = Math.cos(w);
  const alpha = Math.sin(w) / (2 * (notch ? spec.q : (spec.q ?? Math.SQRT1_2)));
  const a0 = 1 + alpha;
  const b = notch ? [1, -2 * c, 1] : [(1 - c) / 2, 1 - c, (1 - c) / 2];
  return { b: [b[0]! / a0, b[1]! / a0, b[2]! / a0], a: [(-2 * c) / a0, (1 - alpha) / a0] };
}

/** Runs one section over a series in place, transposed direct form II, from rest. */
export function filterInPlace(x: Float64Array, { b, a }: Section): void {
  const [b0, b1, b2] = b;
  const [a1, a2] = a;
  let s1 = 0;
  let s2 = 0;
  for (let i = 0; i < x.length; i++) {
    const u = x[i]!;
    const y = b0 * u + s1;
    s1 = b1 * u - a1 * y + s2;
    s2 = b2 * u - a2 * y;
    x[i] = y;
  }
}

/**
 * Group delay at zero frequency of a chain, seconds: Σ k b_k / Σ b - Σ k a_k / Σ a per section, added up.
 *
 * @example chainDelayS([{ type: "lowpass2", cutoffHz: 150 }], 4000) // 5.97431502894 / 4000
 */
export function chainDelayS(specs: readonly FilterSpec[], rate: number): number {
  return specs.reduce((sum, spec) => {
    const { b, a } = section(spec, rate);
    const numerator = (b[1] + 2 * b[2]) / (b[0] + b[1] + b[2]);
    return sum + (numerator - (a[0] + 2 * a[1]) / (1 + a[0] + a[1])) / rate;
  }, 0);
}
