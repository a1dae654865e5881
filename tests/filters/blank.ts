import type { ModesEstimate } from "../../src/modes/mode.js";
import type { RotorEstimate } from "../../src/rotor/rotor.js";

/** Nothing known of what turns. */
export const NO_ROTOR: RotorEstimate = {
  source: "none",
  confidence: 0,
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
  doubts: [],
};

/** Nothing found that stays put. */
export const NO_MODES: ModesEstimate = {
  modes: [],
  tones: [],
  unobservable: [],
  fixed: { roll: null, pitch: null, yaw: null },
  shapes: { roll: [], pitch: [], yaw: [] },
  falseAlarmRate: 0.01,
  doubts: [],
};
