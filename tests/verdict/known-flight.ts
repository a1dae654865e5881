import type { Scenario } from "../../simulator/scenario.js";
import { simulateFlight } from "../../simulator/simulate.js";
import type { Craft } from "../../src/craft.js";
import type { FixedSpectrum, ModesEstimate } from "../../src/modes/mode.js";
import type { RotorEstimate } from "../../src/rotor/rotor.js";
import { judge } from "../../src/verdict/judge.js";
import type { JudgeInput, Judgement } from "../../src/verdict/judge-input.js";

const SEARCHED: FixedSpectrum = {
  frequency: new Float64Array(0),
  density: new Float64Array(0),
  lower: new Float64Array(0),
  upper: new Float64Array(0),
  frames: new Float64Array(0),
  model: new Float64Array(0),
  floor: new Float64Array(0),
};

/** What the stages before would ideally find, taken from a simulated flight's truth: the verdict alone is tested. */
export function knownFlight(scenario: Scenario, craft: Craft = {}): JudgeInput {
  const { timeline, truth } = simulateFlight(scenario);
  const rotor: RotorEstimate = {
    source: "telemetry",
    confidence: 0.99,
    medianHz: truth.rotor.medianHz,
    bandHz: truth.rotor.bandHz,
    curve: [],
    polePairs: 1,
    polePairsHow: "craft",
    blades: truth.rotor.blades,
    bladesHow: "craft",
    delayS: 0,
    delayCi95S: null,
    worstMotor: null,
    motors: [],
    referenceHz: truth.rotor.medianHz,
    orders: [],
    tracks: truth.rotor.tracks.map((hz, i) => ({ motor: i + 1, hz })),
    hover: false,
    doubts: [],
  };
  const modes: ModesEstimate = {
    modes: truth.modes
      .filter((mode) => mode.observable)
      .map((mode) => ({
        frequencyHz: mode.frequencyHz,
        ci95Hz: [mode.frequencyHz - 0.5, mode.frequencyHz + 0.5],
        dampingRatio: mode.dampingRatio,
        dampingCi95: [0.9 * mode.dampingRatio, 1.1 * mode.dampingRatio],
        kind: mode.kind,
        axes: mode.axes.map(({ axis, prominenceDb }) => ({ axis, prominenceDb })),
        confidence: 0.95,
        agreement: "both",
        driftHz: null,
        excitedBy: [],
      })),
    tones: truth.tones.map((tone) => ({
      frequencyHz: tone.loggedHz,
      axes: tone.axes,
      foldedFromHz: tone.folded ? tone.trueHz : null,
    })),
    unobservable: [],
    fixed: { roll: SEARCHED, pitch: SEARCHED, yaw: SEARCHED },
    shapes: { roll: [], pitch: [], yaw: [] },
    falseAlarmRate: 0.05,
    doubts: [],
  };
  return { log: { warnings: [], rows: timeline.length }, timeline, rotor, modes, craft };
}

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

export const NO_SERIES = { roll: null, pitch: null, yaw: null };

/** The levels of the reasons with one id, worst first in no particular order. */
export function levelsOf(judgement: Judgement, id: string): string[] {
  return judgement.verdict.reasons.filter((reason) => reason.id === id).map((reason) => reason.level);
}

export const judgeKnown = (scenario: Scenario, craft: Craft = {}): Judgement =>
  judge(knownFlight(scenario, craft));

/** Every number of a judgement, to see that none is NaN or infinite. */
export function numbersOf(value: unknown): number[] {
  if (typeof value === "number") return [value];
  if (value === null || typeof value !== "object") return [];
  return Object.values(value).flatMap(numbersOf);
}

/** A clean 15-inch quadrotor: the flight that the tests change one thing of. */
export const CLEAN: Scenario = {
  seed: 11,
  durationS: 40,
  logRateHz: 800,
  rotors: { count: 4, propellerInch: 15, blades: 2, hoverHz: 88, spread: 0.012 },
  flight: { profile: "cruise", restBeforeS: 2, motionDps: 8, gustDps: 1.2 },
  lines: { onceDps: 0.4, twiceDps: 0.1, bladePassDps: [0.25, 0.08] },
  wash: { density: 0.015, cornerHz: 200 },
  modes: [{ frequencyHz: 290, dampingRatio: 0.018, prominenceDb: { roll: 12, pitch: 10 } }],
  telemetry: { unit: "rpm" },
};
