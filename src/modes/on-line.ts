import { fold } from "../rotor/fold.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { Hertz } from "../units.js";

/** Half-width of "on the line" beyond what the order's own width says. */
const MARGIN_HZ = 1;

/** Whether a frequency lies within the middle half of what an order swept while its speed hardly varied. */
export function onLine(hz: Hertz, rotor: RotorEstimate, sampleRate: Hertz): boolean {
  if (!rotor.hover || rotor.medianHz === null || rotor.bandHz === null) return false;
  const median = rotor.medianHz;
  const spread = (rotor.bandHz[1] - rotor.bandHz[0]) / (2 * median);
  return rotor.orders.some((o) => {
    const reach = o.order * median * (o.halfWidth + spread) + MARGIN_HZ;
    return Math.abs(fold(o.order * median, sampleRate) - hz) < reach;
  });
}
