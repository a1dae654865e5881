import { crossings } from "../rotor/crossings.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { Mode } from "./mode.js";

/** Orders whose true frequency meets a mode inside the range of speed flown, with the throttle where it does. */
export function excitation(mode: { frequencyHz: number }, rotor: RotorEstimate): Mode["excitedBy"] {
  return crossings(rotor, [mode]).map(({ order, throttle }) => ({ order, throttle }));
}
