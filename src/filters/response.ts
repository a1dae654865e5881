import type { Section } from "./section.js";

/** A complex number. */
export interface Complex {
  readonly re: number;
  readonly im: number;
}

/** Coefficients c₀, c₁, c₂ of a polynomial in z⁻¹. */
type Polynomial = readonly [number, number, number];

/** Below this share of the coefficients' sum a numerator counts as zero: rounding leaves 1e-16. */
const ZERO = 1e-11;

/**
 * Complex response of a chain: Π b(z⁻¹) / a(z⁻¹) at z = exp(2πi hz / rate).
 *
 * @param sections the chain
 * @param hz frequency, 0..rate / 2
 * @param rate sampling rate, Hz
 * @returns gain and phase as a complex number; the phase of the product, so not unwrapped
 * @see A. V. Oppenheim, R. W. Schafer, Discrete-Time Signal Processing, chapter 5
 * @example response([lowPass2(80, 4000)], 80, 4000) // −0.7071 i: −3 dB and −90°
 */
export function response(sections: readonly Section[], hz: number, rate: number): Complex {
  let re = 1;
  let im = 0;
  for (const section of sections) {
    const n = polynomialAt(section.b, hz, rate);
    const d = polynomialAt(section.a, hz, rate);
    const size = d.re * d.re + d.im * d.im;
    const qr = (n.re * d.re + n.im * d.im) / size;
    const qi = (n.im * d.re - n.re * d.im) / size;
    [re, im] = [re * qr - im * qi, re * qi + im * qr];
  }
  return { re, im };
}

/**
 * Group delay of a chain: −dφ/dω = Σ Re(Σ k b_k z⁻ᵏ / Σ b_k z⁻ᵏ) − Re(Σ k a_k z⁻ᵏ / Σ a_k z⁻ᵏ).
 *
 * @param sections the chain
 * @param hz frequency, 0..rate / 2
 * @param rate sampling rate, Hz
 * @returns delay in samples; null on a zero of the response (the bottom of a notch), where there is no phase
 * @see A. V. Oppenheim, R. W. Schafer, Discrete-Time Signal Processing, section 5.1
 * @example groupDelay([lowPass2(150, 4000)], 50, 4000) // 6.56320933822 samples
 */
export function groupDelay(sections: readonly Section[], hz: number, rate: number): number | null {
  let delay = 0;
  for (const { a, b } of sections) {
    const above = polynomialDelay(b, hz, rate);
    const below = polynomialDelay(a, hz, rate);
    if (above === null || below === null) return null;
    delay += above - below;
  }
  return delay;
}

function polynomialAt(c: Polynomial, hz: number, rate: number): Complex {
  const w = (2 * Math.PI * hz) / rate;
  return {
    re: c[0] + c[1] * Math.cos(w) + c[2] * Math.cos(2 * w),
    im: -c[1] * Math.sin(w) - c[2] * Math.sin(2 * w),
  };
}

function polynomialDelay(c: Polynomial, hz: number, rate: number): number | null {
  const p = polynomialAt(c, hz, rate);
  const size = p.re * p.re + p.im * p.im;
  if (Math.sqrt(size) <= ZERO * (Math.abs(c[0]) + Math.abs(c[1]) + Math.abs(c[2]))) return null;
  const moment = polynomialAt([0, c[1], 2 * c[2]], hz, rate);
  return (moment.re * p.re + moment.im * p.im) / size;
}
