import type { RotorEstimate } from "../rotor/rotor.js";
import type { Hertz } from "../units.js";

/** A frequency as it shows in a log of this rate: |f − k · fs| for the nearest k. */
export function folded(hz: Hertz, sampleRate: Hertz): Hertz {
  return Math.abs(hz - sampleRate * Math.round(hz / sampleRate));
}

/** Half-width of "on the line" beyond what the order's own width says. */
const MARGIN_HZ = 1;

/** Whether a frequency lies within the middle half of what an order swept while its speed hardly varied. */
export function onLine(hz: Hertz, rotor: RotorEstimate, sampleRate: Hertz): boolean {
  if (!rotor.hover || rotor.medianHz === null || rotor.bandHz === null) return false;
  const median = rotor.medianHz;
  const spread = (rotor.bandHz[1] - rotor.bandHz[0]) / (2 * median);
  return rotor.orders.some((o) => {
    const reach = o.order * median * (o.halfWidth + spread) + MARGIN_HZ;
    return Math.abs(folded(o.order * median, sampleRate) - hz) < reach;
  });
}
