import type { RotorEstimate } from "./rotor.js";

/** Nothing can be said of what turns, with the reasons. */
export function noRotor(doubts: readonly string[], confidence = 0): RotorEstimate {
  return {
    source: "none",
    confidence,
    medianHz: null,
    bandHz: null,
    curve: [],
    polePairs: null,
    polePairsHow: null,
    blades: null,
    bladesHow: null,
    delayS: null,
    delayCi95S: null,
    worstMotor: null,
    motors: [],
    referenceHz: null,
    orders: [],
    tracks: [],
    hover: false,
    doubts,
  };
}
