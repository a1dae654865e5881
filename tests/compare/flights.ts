import type { Scenario } from "../../simulator/scenario.js";
import { simulateFlight } from "../../simulator/simulate.js";
import type { ComparedFlight } from "../../src/compare/compared-flight.js";
import { fingerprintOf } from "../../src/compare/fingerprint-of.js";
import { identifyModes } from "../../src/modes/identify-modes.js";
import type { Mode } from "../../src/modes/mode.js";
import { estimateRotor } from "../../src/rotor/estimate-rotor.js";

/** One invented craft: 100 Hz in hover, one mode at 150 Hz, rotor speed reported. */
const CRAFT = {
  craftSeed: 5,
  referenceHz: 100,
  durationS: 30,
  logRateHz: 1000,
  telemetry: {},
  wash: { density: 0.04 },
  modes: [{ frequencyHz: 150, dampingRatio: 0.015, prominenceDb: { roll: 15, pitch: 12 } }],
} as const;

/** Flies the craft; `more` says what is different about this flight. */
export function fly(seed: number, more: Partial<Scenario> = {}): ComparedFlight {
  const { timeline } = simulateFlight({ seed, ...CRAFT, ...more });
  const rotor = estimateRotor(timeline, { blades: 2 });
  const { tracks: _tracks, hover: _hover, ...summary } = rotor;
  const { modes, unobservable } = identifyModes(timeline, rotor, {});
  return {
    ...BLANK,
    name: `flight-${seed}.csv`,
    sha256: seed.toString(16).padStart(64, "0"),
    sampleRateHz: timeline.sampleRate,
    gyro: "raw",
    rotor: summary,
    modes,
    unobservable,
    fingerprint: fingerprintOf(timeline, rotor),
  };
}

/** A flight of which nothing is known. */
export const BLANK: ComparedFlight = {
  name: "blank.csv",
  sha256: "f".repeat(64),
  saved: false,
  sampleRateHz: 1000,
  gyro: "raw",
  airborneS: 30,
  craft: {},
  rotor: {
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
    doubts: [],
  },
  modes: [],
  unobservable: [],
  motionTopHz: 15,
  fingerprint: null,
  filters: null,
  verdict: { call: "quiet", sentence: "", reasons: [], next: [], cautions: [] },
};

/** A mode known to half a hertz. */
export function mode(frequencyHz: number, more: Partial<Mode> = {}): Mode {
  return {
    frequencyHz,
    ci95Hz: [frequencyHz - 0.5, frequencyHz + 0.5],
    dampingRatio: 0.02,
    dampingCi95: [0.017, 0.024],
    kind: "structure",
    axes: [{ axis: "roll", prominenceDb: 12 }],
    confidence: 0.99,
    agreement: "both",
    driftHz: 0,
    excitedBy: [],
    ...more,
  };
}
