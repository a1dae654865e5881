import type { Interval } from "../units.js";

/** Which motion of a single-degree-of-freedom system is looked at. A gyro sees the velocity. */
export type Motion = "displacement" | "velocity" | "acceleration";

/**
 * Where the response to a constant force is half its peak in power, as ratios r = f / f_n.
 *
 * Displacement: r² = (1 − 2ζ²) ∓ 2ζ √(1 − ζ²). Velocity: r = √(1 + ζ²) ∓ ζ, so that f2 − f1 = 2ζ f_n exactly.
 * Acceleration: the reciprocals of the displacement's.
 *
 * @param dampingRatio ζ, 0 < ζ < 0.38 (above, the displacement curve has no lower half-power point)
 * @param motion which response
 * @returns `[r1, r2]`; NaN where no such point exists
 * @see W. T. Thomson, Theory of Vibration with Applications, section 3.10
 * @example halfPowerRatios(0.1, "velocity") // r2 − r1 = 0.2
 */
export function halfPowerRatios(dampingRatio: number, motion: Motion): Interval {
  const z = dampingRatio;
  if (motion === "velocity") return [Math.hypot(1, z) - z, Math.hypot(1, z) + z];
  const centre = 1 - 2 * z * z;
  const spread = 2 * z * Math.sqrt(1 - z * z);
  const [low, high] = [Math.sqrt(centre - spread), Math.sqrt(centre + spread)];
  return motion === "displacement" ? [low, high] : [1 / high, 1 / low];
}

/**
 * Where the response to a constant force peaks, as a ratio of f_n.
 *
 * @see W. T. Thomson, Theory of Vibration with Applications, section 3.10
 * @example peakRatio(0.1, "velocity") // 1
 */
export function peakRatio(dampingRatio: number, motion: Motion): number {
  const displacement = Math.sqrt(1 - 2 * dampingRatio * dampingRatio);
  return motion === "velocity" ? 1 : motion === "displacement" ? displacement : 1 / displacement;
}

/**
 * Transmissibility: motion of a sprung mass over motion of its base, √((1 + (2ζr)²) / ((1 − r²)² + (2ζr)²)).
 *
 * @param ratio r, frequency over natural frequency
 * @param dampingRatio ζ
 * @see W. T. Thomson, Theory of Vibration with Applications, section 3.5
 * @example transmissibility(Math.SQRT2, 0.1) // 1, for every ζ
 */
export function transmissibility(ratio: number, dampingRatio: number): number {
  const damping = (2 * dampingRatio * ratio) ** 2;
  return Math.sqrt((1 + damping) / ((1 - ratio * ratio) ** 2 + damping));
}

/**
 * Ratio r at which transmissibility peaks. The usual (√(1 + 8ζ²) − 1) / (4ζ²) loses digits at small ζ and is
 * rearranged; for the same reason the peak is `transmissibility(r, ζ)` and not its single formula.
 *
 * @see K. Ogata, System Dynamics, section on vibration isolation
 * @example transmissibilityPeakRatio(0.1) // 0.99033
 */
export function transmissibilityPeakRatio(dampingRatio: number): number {
  return Math.sqrt(2 / (1 + Math.sqrt(1 + 8 * dampingRatio * dampingRatio)));
}

/**
 * Logarithmic decrement of free vibration: δ = 2πζ / √(1 − ζ²).
 *
 * @see W. T. Thomson, Theory of Vibration with Applications, eq. 2.7-3
 * @example logDecrement(0.0681) // 0.429
 */
export function logDecrement(dampingRatio: number): number {
  return (2 * Math.PI * dampingRatio) / Math.sqrt(1 - dampingRatio * dampingRatio);
}

/**
 * Damping ratio from the decrement of a free vibration: ζ = δ / √(4π² + δ²).
 *
 * @param decrement δ = (1/n) ln(x_0 / x_n)
 * @example dampingFromDecrement(2.7726) // 0.4037
 */
export function dampingFromDecrement(decrement: number): number {
  return decrement / Math.hypot(2 * Math.PI, decrement);
}
