import type { Section } from "./section.js";

/**
 * Delay of slow signals: Σ k b_k / Σ b_k − Σ k a_k / Σ a_k. Delays of a chain add.
 *
 * @param section one section with Σ b ≠ 0
 * @returns samples; NaN for a section that blocks zero frequency
 * @see limit of the group delay at ω → 0, A. V. Oppenheim, R. W. Schafer, Discrete-Time Signal Processing, section 5.1
 * @example dcDelay(lowPass2(80, 4000)) // 11.2391 samples = √2 / (2 tan(w₀/2))
 */
export function dcDelay({ a, b }: Section): number {
  const moment = (c: readonly [number, number, number]): number => (c[1] + 2 * c[2]) / (c[0] + c[1] + c[2]);
  return moment(b) - moment(a);
}

/**
 * Delay of a chain for slow signals.
 *
 * @param sections the chain
 * @param rate sampling rate of the loop that runs it, Hz
 * @returns milliseconds
 * @example chainDelayMs([lowPass2(100, 4000)], 4000) // 2.2462 ms; the analogue filter has √2/ω₀ = 2.2508 ms
 */
export function chainDelayMs(sections: readonly Section[], rate: number): number {
  return (1000 / rate) * sections.reduce((sum, section) => sum + dcDelay(section), 0);
}
