import type { Hertz } from "../units.js";
import type { Section } from "./section.js";

/** cos ω and cos 2ω of a list of frequencies, computed once for many filters. */
export interface FrequencyAxis {
  readonly hz: Float64Array;
  readonly rate: Hertz;
  readonly cos1: Float64Array;
  readonly cos2: Float64Array;
}

/**
 * @param hz frequencies, 0..rate / 2
 * @param rate sampling rate of the filters to come, Hz
 */
export function frequencyAxis(hz: Float64Array, rate: Hertz): FrequencyAxis {
  const angle = (2 * Math.PI) / rate;
  return { hz, rate, cos1: hz.map((f) => Math.cos(angle * f)), cos2: hz.map((f) => Math.cos(2 * angle * f)) };
}

/**
 * |H|² of one section at one frequency, from cos ω and cos 2ω:
 * |b₀ + b₁ z⁻¹ + b₂ z⁻²|² = b₀² + b₁² + b₂² + 2 (b₀ b₁ + b₁ b₂) cos ω + 2 b₀ b₂ cos 2ω, and the same for a.
 */
export function sectionPower({ a, b }: Section, cos1: number, cos2: number): number {
  const above = b[0] * b[0] + b[1] * b[1] + b[2] * b[2] + 2 * (b[0] * b[1] + b[1] * b[2]) * cos1;
  const below = 1 + a[1] * a[1] + a[2] * a[2] + 2 * (a[1] + a[1] * a[2]) * cos1;
  // rounding may leave a tiny negative number at the bottom of a notch
  return Math.max(0, above + 2 * b[0] * b[2] * cos2) / (below + 2 * a[2] * cos2);
}

/**
 * Power gain |H|² of a chain over a frequency axis.
 *
 * @example powerGain([lowPass2(100, 4000)], frequencyAxis(Float64Array.of(100), 4000)) // [0.5]
 */
export function powerGain(sections: readonly Section[], axis: FrequencyAxis): Float64Array {
  const gain = new Float64Array(axis.hz.length).fill(1);
  for (const section of sections) {
    for (let k = 0; k < gain.length; k++) {
      gain[k] = gain[k]! * sectionPower(section, axis.cos1[k]!, axis.cos2[k]!);
    }
  }
  return gain;
}

/**
 * Power gain of the difference of two samples times the rate, as a D-term is computed: 2 rate² (1 − cos ω).
 *
 * @returns (1/s)²; close to (2π hz)² well below the rate
 */
export function differencePower(axis: FrequencyAxis): Float64Array {
  return axis.hz.map((f) => (2 * axis.rate * Math.sin((Math.PI * f) / axis.rate)) ** 2);
}
