import { motorImbalance } from "../rotor/motor-imbalance.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { Timeline } from "../timeline/timeline.js";
import type { ModesEstimate } from "./mode.js";
import { powerResponse } from "./power-response.js";

/**
 * The motors' once-per-turn amplitudes again, now that the modes are known: a mode swells the line of every motor that
 * turns near it, and what it adds is no imbalance. Its fitted response is taken off.
 *
 * @returns the same rotor where no motor was measured or no structure was found
 */
export function imbalanceNearModes(
  timeline: Timeline,
  rotor: RotorEstimate,
  { shapes }: ModesEstimate,
): RotorEstimate {
  const { motors, referenceHz, tracks } = rotor;
  const found = Object.values(shapes).some((ofAxis) => ofAxis.length > 0);
  if (motors.length === 0 || referenceHz === null || !found) return rotor;
  const again = motorImbalance(timeline, tracks, {
    referenceHz,
    response: (axis, hz) => powerResponse(shapes[axis], hz),
  });
  return { ...rotor, motors: again.motors };
}
