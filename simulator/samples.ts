import type { CRAFTS } from "./crafts.js";
import type { CsvStyle } from "./csv.js";
import type { Scenario } from "./scenario.js";

/** A flight of the invented workshop that the package ships. */
export interface Sample {
  /** File name without ".csv.gz". */
  readonly name: string;
  /** File name of its craft file without ".craft.json". */
  readonly craft: keyof typeof CRAFTS;
  readonly scenario: Scenario;
  readonly style: Partial<CsvStyle>;
}

const WORKSHOP = "Quarrenshed, an invented workshop";

const note = (craft: string, rest: readonly (readonly [string, string])[] = []): CsvStyle["notes"] => [
  ["flight", "invented by a simulator, no real craft"],
  ["workshop", WORKSHOP],
  ["craft", craft],
  ...rest,
];

const CHAIN: NonNullable<Scenario["chain"]> = {
  gyro: [{ type: "lowpass1", cutoffHz: 180 }],
  dterm: [{ type: "lowpass2", cutoffHz: 90 }],
  kd: 0.012,
};

const BRAMBELOW: NonNullable<Scenario["rotors"]> = {
  count: 4,
  propellerInch: 18,
  blades: 2,
  hoverHz: 66,
  hoverThrottle: 0.42,
  exponent: 0.55,
  polePairs: 14,
  cells: 12,
  spread: 0.015,
  sag: 0.05,
};

const WENDLECOT: NonNullable<Scenario["rotors"]> = {
  count: 4,
  propellerInch: 10,
  blades: 2,
  hoverHz: 138,
  hoverThrottle: 0.4,
  exponent: 0.65,
  polePairs: 7,
  spread: 0.012,
};

const wendlecot = (seed: number, mode: NonNullable<Scenario["modes"]>[number]): Scenario => ({
  seed,
  durationS: 36,
  logRateHz: 1000,
  rotors: WENDLECOT,
  flight: { profile: "sweep", restBeforeS: 2, restAfterS: 1, motionDps: 10, gustDps: 1.5 },
  lines: { onceDps: 0.35, twiceDps: 0.08, bladePassDps: [0.2, 0.06], wander: 0.03 },
  wash: { density: 0.03, cornerHz: 200 },
  sensor: { density: 0.004, quantumDps: 0.1 },
  chain: CHAIN,
  modes: [mode],
});

/** All samples, in the order of samples/README.md. */
export const SAMPLES: readonly Sample[] = [
  {
    name: "heavy-lifter-quiet",
    craft: "brambelow",
    scenario: {
      seed: 101,
      durationS: 42,
      logRateHz: 1000,
      rotors: BRAMBELOW,
      flight: {
        profile: "sweep",
        restBeforeS: 3,
        restAfterS: 2,
        motionDps: 8,
        gustDps: 1,
        controlActivity: 0.008,
      },
      lines: { onceDps: 0.08, twiceDps: 0.02, bladePassDps: [0.05, 0.02], wander: 0.03 },
      wash: { density: 0.008, cornerHz: 160 },
      sensor: { density: 0.003, quantumDps: 0.05 },
      chain: CHAIN,
      modes: [{ frequencyHz: 262, dampingRatio: 0.018, prominenceDb: { roll: 13, pitch: 10 } }],
      telemetry: { unit: "rpm", delayS: 0.006, refreshHz: 100, step: 10 },
    },
    style: { wording: "plain", notes: note("Brambelow, bare, no camera") },
  },
  {
    name: "lifter-mode-in-motor-band",
    craft: "thistleram",
    scenario: {
      seed: 202,
      durationS: 40,
      logRateHz: 1000,
      rotors: {
        count: 6,
        propellerInch: 13,
        blades: 2,
        hoverHz: 104,
        hoverThrottle: 0.43,
        exponent: 0.6,
        polePairs: 12,
        spread: 0.012,
        bad: { motor: 4, factor: 2.5 },
      },
      flight: { profile: "sweep", restBeforeS: 2, restAfterS: 1, motionDps: 12, gustDps: 2 },
      lines: { onceDps: 1.6, twiceDps: 0.25, bladePassDps: [0.5, 0.15], wander: 0.05 },
      wash: { density: 0.04, cornerHz: 200 },
      sensor: { density: 0.005, quantumDps: 0.1 },
      chain: CHAIN,
      modes: [{ frequencyHz: 97, dampingRatio: 0.022, prominenceDb: { roll: 19, pitch: 12 } }],
      telemetry: { unit: "electrical rpm", delayS: 0.009, refreshHz: 200, step: 100 },
    },
    style: { wording: "underscored", timeUnit: "ms", throttle: "0..1", notes: note("Thistleram") },
  },
  {
    name: "slow-log-folded",
    craft: "ottermow",
    scenario: {
      seed: 303,
      durationS: 50,
      logRateHz: 400,
      rotors: {
        count: 4,
        propellerInch: 12,
        blades: 3,
        hoverHz: 112,
        hoverThrottle: 0.41,
        exponent: 0.7,
        polePairs: 7,
        spread: 0.01,
      },
      flight: { profile: "sweep", restBeforeS: 2, restAfterS: 1, motionDps: 12, gustDps: 2 },
      lines: { onceDps: 0.4, twiceDps: 0.1, bladePassDps: [0.9, 0.3], wander: 0.03 },
      wash: { density: 0.025, cornerHz: 300 },
      sensor: { density: 0.003, quantumDps: 0.05 },
      chain: CHAIN,
      modes: [{ frequencyHz: 58, dampingRatio: 0.02, prominenceDb: { pitch: 12, yaw: 7 } }],
      telemetry: { unit: "Hz", delayS: 0.004, refreshHz: 400, step: 0.1 },
    },
    style: {
      wording: "bracketed",
      timeUnit: "s",
      delimiter: ";",
      decimalComma: true,
      lineEnd: "\r\n",
      notes: note("Ottermow"),
    },
  },
  {
    name: "too-short",
    craft: "brambelow",
    scenario: {
      seed: 404,
      durationS: 5,
      logRateHz: 1000,
      rotors: BRAMBELOW,
      flight: { profile: "hover", restBeforeS: 1.5, restAfterS: 1, motionDps: 8, gustDps: 1 },
      lines: { onceDps: 0.08, twiceDps: 0.02, bladePassDps: [0.05, 0.02] },
      wash: { density: 0.008, cornerHz: 160 },
      sensor: { density: 0.003, quantumDps: 0.05 },
      chain: CHAIN,
      modes: [{ frequencyHz: 262, dampingRatio: 0.018, prominenceDb: { roll: 13, pitch: 10 } }],
    },
    style: { wording: "camel", throttle: "1000..2000", notes: note("Brambelow, bare, no camera") },
  },
  {
    name: "loose-arm-before",
    craft: "wendlecot",
    scenario: wendlecot(505, { frequencyHz: 61, dampingRatio: 0.038, prominenceDb: { roll: 18, pitch: 8 } }),
    style: { wording: "plain", notes: note("Wendlecot", [["remark", "front left arm screw found loose"]]) },
  },
  {
    name: "loose-arm-after",
    craft: "wendlecot",
    scenario: wendlecot(506, { frequencyHz: 71, dampingRatio: 0.019, prominenceDb: { roll: 9 } }),
    style: {
      wording: "plain",
      notes: note("Wendlecot", [["remark", "arm screw set, nothing else changed"]]),
    },
  },
];
