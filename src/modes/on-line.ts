import { fold } from "../rotor/fold.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { Hertz } from "../units.js";
import type { SteadyLine } from "./tones.js";

/** Half-width of "on the line" beyond what the order's own width says. */
const MARGIN_HZ = 1;

/** Whether a steady line lies within the middle half of what an order swept while its speed hardly varied. */
export function onLine(
  { frequencyHz, driftHz }: SteadyLine,
  rotor: RotorEstimate,
  sampleRate: Hertz,
): boolean {
  if (!rotor.hover || rotor.medianHz === null || rotor.bandHz === null) return false;
  const median = rotor.medianHz;
  const spread = (rotor.bandHz[1] - rotor.bandHz[0]) / (2 * median);
  return rotor.orders.some((o) => {
    const reach = o.order * median * (o.halfWidth + spread) + MARGIN_HZ + Math.abs(driftHz) / 2;
    return Math.abs(fold(o.order * median, sampleRate) - frequencyHz) < reach;
  });
}
