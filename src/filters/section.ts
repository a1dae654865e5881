/**
 * A digital filter of at most second order, H(z) = (b₀ + b₁ z⁻¹ + b₂ z⁻²) / (1 + a₁ z⁻¹ + a₂ z⁻²).
 * A chain is a list of sections, one after the other.
 */
export interface Section {
  readonly b: readonly [number, number, number];
  readonly a: readonly [1, number, number];
}

/** Divides a numerator and a denominator by the denominator's first coefficient. */
export function normalised(
  b: readonly [number, number, number],
  a: readonly [number, number, number],
): Section {
  const [a0, a1, a2] = a;
  return { b: [b[0] / a0, b[1] / a0, b[2] / a0], a: [1, a1 / a0, a2 / a0] };
}

/** @throws {RangeError} unless 0 < hz < rate / 2 */
export function checkBelowNyquist(hz: number, rate: number): void {
  if (!(hz > 0 && hz < rate / 2)) {
    throw new RangeError(`a filter's frequency must lie in 0..${rate / 2} Hz (ends excluded), got ${hz}`);
  }
}
