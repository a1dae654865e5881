import type { Hertz } from "../units.js";
import type { CurvePoint, RotorEstimate } from "./rotor.js";

/** Where an order line meets a fixed frequency. */
export interface Crossing {
  readonly frequencyHz: Hertz;
  readonly order: number;
  /** Rotor frequency at the crossing. */
  readonly rotorHz: Hertz;
  /** Throttle at the crossing, or null where the flight's curve does not reach or is unknown. */
  readonly throttle: number | null;
}

/**
 * Crossing speed of a Campbell diagram: order o meets f at F = f / o.
 *
 * @example crossingHz(87.5, 4) // 21.875, that is 1312.5 rpm
 */
export function crossingHz(frequencyHz: Hertz, order: number): Hertz {
  return frequencyHz / order;
}

/**
 * Crossings of the known order lines with fixed frequencies inside the range of speed flown (widened by a tenth).
 *
 * @param rotor its `orders`, `bandHz` and `curve` are used
 * @param modes anything with a frequency
 * @returns by mode, then by order
 */
export function crossings(
  rotor: Pick<RotorEstimate, "orders" | "bandHz" | "curve">,
  modes: readonly { readonly frequencyHz: Hertz }[],
): Crossing[] {
  if (rotor.bandHz === null) return [];
  const [low, high] = [rotor.bandHz[0] / 1.1, rotor.bandHz[1] * 1.1];
  return modes.flatMap(({ frequencyHz }) =>
    rotor.orders
      .map(({ order }) => ({ frequencyHz, order, rotorHz: crossingHz(frequencyHz, order) }))
      .filter(({ rotorHz }) => rotorHz >= low && rotorHz <= high)
      .map((c) => ({ ...c, throttle: throttleAt(rotor.curve, c.rotorHz) })),
  );
}

/**
 * Throttle at which the rotor turns at a given frequency, by linear interpolation of the curve.
 *
 * @returns null outside the curve
 */
export function throttleAt(curve: readonly CurvePoint[], rotorHz: Hertz): number | null {
  for (let i = 1; i < curve.length; i++) {
    const a = curve[i - 1]!;
    const b = curve[i]!;
    const [low, high] = a.hz <= b.hz ? [a, b] : [b, a];
    if (rotorHz < low.hz || rotorHz > high.hz || low.hz === high.hz) continue;
    return low.throttle + ((high.throttle - low.throttle) * (rotorHz - low.hz)) / (high.hz - low.hz);
  }
  return null;
}
