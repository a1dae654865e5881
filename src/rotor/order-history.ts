import type { OrderHistory } from "../evidence.js";
import type { Timeline } from "../timeline/timeline.js";
import { keptOrderBlocks, overAxes } from "./order-amplitudes.js";
import type { RotorEstimate } from "./rotor.js";

/**
 * Amplitude over time of once per turn and blade pass (twice per turn where the blades are not known): per motor where
 * each one's speed is known, else of all rotors together. Root of the sum of squares over the axes, noise taken off.
 *
 * @returns a line per motor and order; a block in which a motor cannot be parted from the others is NaN
 */
export function orderHistory(timeline: Timeline, rotor: RotorEstimate): OrderHistory[] {
  if (rotor.tracks.length === 0) return [];
  return [1, rotor.blades ?? 2].flatMap((order) => {
    const blocks = keptOrderBlocks(timeline, rotor.tracks, order);
    if (blocks.length < 2) return [];
    const x = Float64Array.from(blocks, (b) => b.timeS);
    return rotor.tracks.map(({ motor }, m) => ({
      motor,
      order,
      amplitude: {
        x,
        y: Float64Array.from(blocks, (b) =>
          b.own[m]! < 0.05
            ? Number.NaN
            : Math.sqrt(Math.max(0, overAxes(b.power[m]!) - overAxes(b.quietNoise[m]!))),
        ),
      },
    }));
  });
}
