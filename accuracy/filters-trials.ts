import { section } from "../simulator/filters.js";
import { type Random, randomStream } from "../simulator/random.js";
import type { FilterSpec, Scenario } from "../simulator/scenario.js";
import { simulateFlight } from "../simulator/simulate.js";
import type { Chain, FilterStep, LowPassStep } from "../src/filters/chain.js";
import { lagDeg } from "../src/filters/delay-meter.js";
import { excitationOf } from "../src/filters/excitation.js";
import { filterStudy, isRefusal } from "../src/filters/filter-study.js";
import { predictorOf } from "../src/filters/predictor.js";
import type { Section } from "../src/filters/section.js";
import { studyFrames } from "../src/filters/study-frames.js";
import { throttleLevels } from "../src/filters/throttle-levels.js";
import { estimateRotor } from "../src/rotor/estimate-rotor.js";
import type { Interval } from "../src/units.js";
import { NO_MODES, NO_ROTOR } from "../tests/filters/blank.js";
import { loopFlight, reallyFilter } from "../tests/filters/really-filter.js";

/** Error of one measured delay, or of a phase. */
export interface DelayTrial {
  readonly path: "gyro" | "dterm";
  /** All levels and axes together, one row of the table, or that row's lag at the crossover. */
  readonly scope: "flight" | "row" | "phase";
  /** A chain of two low-passes and two notches, which no plain filter copies. */
  readonly rich: boolean;
  readonly logRateHz: number;
  readonly truth: number;
  /** ms, or degrees. */
  readonly error: number;
  readonly halfWidth: number;
}

/** Prediction of one RMS over what really filtering at loop rate gives. */
export interface PredictionTrial {
  readonly thin: number;
  readonly rotor: "telemetry" | "inferred" | "none";
  readonly moving: boolean;
  readonly path: "gyro" | "dterm";
  readonly ratio: number;
  /** Half the interval over the value. */
  readonly halfWidth: number;
  readonly covered: boolean;
}

/**
 * "Where coherence allows": rows whose own 95 % interval claims 0.1 ms or better. The claim is then held against the
 * truth; rows that claim less are counted, not hidden.
 */
export const CLAIMED_MS = 0.1;
/** The same for predictions: those whose interval claims 3 % or better. */
export const CLAIMED_SHARE = 0.03;

const PROFILES = ["sweep", "cruise", "punchy"] as const;

function someCraft(random: Random, seed: number): Scenario {
  const propellerInch = random.pick([5, 7, 10, 15, 18, 22, 28]);
  return {
    seed,
    durationS: 60,
    logRateHz: 1000,
    rotors: { propellerInch, blades: random.pick([2, 3]), count: random.pick([4, 6, 8]) },
    flight: { profile: random.pick(PROFILES) },
    lines: { onceDps: random.logBetween(0.3, 3), wander: 0.05 },
    wash: { density: random.logBetween(0.015, 0.05), cornerHz: 200 },
    modes: random.chance(0.6)
      ? [
          {
            frequencyHz: random.logBetween(60, 300),
            dampingRatio: random.between(0.008, 0.03),
            prominenceDb: { roll: 14, pitch: 10 },
          },
        ]
      : [],
  };
}

/** A low-pass, in three of ten with a notch; or, when `rich`, two low-passes and two notches, which no plain filter copies. */
function someFilters(random: Random, [lowHz, highHz]: readonly [number, number], rich = false): FilterSpec[] {
  const low = (): FilterSpec => ({
    type: random.chance(0.5) ? "lowpass1" : "lowpass2",
    cutoffHz: random.logBetween(lowHz, highHz),
  });
  const notch = (): FilterSpec => ({
    type: "notch",
    centreHz: random.between(100, 250),
    q: random.between(2, 6),
  });
  if (rich) return [low(), low(), notch(), notch()];
  return random.chance(0.3) ? [low(), notch()] : [low()];
}

/** Known chains in simulated flights, measured from their logs. */
export function delayTrials(flights: number, seed: number): DelayTrial[] {
  return Array.from({ length: flights }, (_, i) => {
    const random = randomStream(seed + i, "filter delay");
    const logRateHz = random.pick([500, 800, 1000, 1600, 2000]);
    const rich = i % 4 === 3;
    const chain = {
      gyro: someFilters(random, [80, 300], rich),
      dterm: someFilters(random, [60, 200], rich && random.chance(0.5)),
    };
    const { timeline, truth } = simulateFlight({ ...someCraft(random, seed + i), logRateHz, chain });
    const options = { loopRateHz: truth.chain.loopRateHz, crossoverHz: CROSSOVER_HZ };
    const study = filterStudy(timeline, NO_ROTOR, NO_MODES, {}, options);
    if (isRefusal(study)) return [];
    const gyroMs = 1000 * truth.chain.gyroDelayS;
    const delayOf = { gyro: gyroMs, dterm: gyroMs + 1000 * truth.chain.dtermDelayS };
    const phaseOf = phaseTruth(chain, truth.chain.loopRateHz);
    const trial = (
      path: "gyro" | "dterm",
      scope: DelayTrial["scope"],
      { value, ci95 }: { readonly value: number; readonly ci95: Interval },
    ): DelayTrial => {
      const known = (scope === "phase" ? phaseOf : delayOf)[path];
      const halfWidth = (ci95[1] - ci95[0]) / 2;
      return { path, scope, rich, logRateHz, truth: known, error: value - known, halfWidth };
    };
    const { own, measured } = study;
    const of = (
      path: "gyro" | "dterm",
      scope: DelayTrial["scope"],
      value: number | null,
      ci95: Interval | null,
    ) => (value === null ? [] : [trial(path, scope, { value, ci95: ci95! })]);
    return [
      ...of("gyro", "flight", own.gyroDelayMs, own.gyroCi95Ms),
      ...of("dterm", "flight", own.delayMs, own.ci95Ms),
      ...measured.flatMap((m) => [
        ...of(m.path, "row", m.delayMs, m.ci95Ms),
        ...of(m.path, "phase", m.phaseDeg, m.phaseCi95Deg),
      ]),
    ];
  }).flat();
}

export const CROSSOVER_HZ = 20;

/** Lag of known chains at the crossover, degrees; the D-term's beyond an ideal derivative. */
function phaseTruth(
  chain: { readonly gyro: readonly FilterSpec[]; readonly dterm: readonly FilterSpec[] },
  loopRate: number,
): { readonly gyro: number; readonly dterm: number } {
  const lag = (specs: readonly FilterSpec[]): number => {
    const sections = specs.map((spec): Section => {
      const { a, b } = section(spec, loopRate);
      return { a: [1, a[0], a[1]], b };
    });
    return lagDeg(sections, CROSSOVER_HZ, loopRate);
  };
  const gyro = lag(chain.gyro);
  return { gyro, dterm: gyro + lag(chain.dterm) + (180 * CROSSOVER_HZ) / loopRate };
}

const lowPass = (order: 1 | 2, corner: LowPassStep["corner"]): FilterStep => ({
  kind: "low-pass",
  order,
  corner,
});
const onRotor = (...orders: number[]): FilterStep => ({ kind: "rotor notches", orders, q: 5, lowestHz: 30 });

const FIXED: readonly Chain[] = [
  { gyro: [], dterm: [lowPass(2, 100)] },
  { gyro: [lowPass(1, 150)], dterm: [lowPass(2, 80)] },
  { gyro: [lowPass(2, 90), { kind: "notch", centreHz: 118, q: 3 }], dterm: [lowPass(1, 100)] },
];
const MOVING: readonly Chain[] = [
  { gyro: [onRotor(1)], dterm: [lowPass(2, 120)] },
  { gyro: [onRotor(1, 2)], dterm: [lowPass(2, { atZeroHz: 75, atFullHz: 110 })] },
];
export const FROM_HZ = 20;

/** Chains predicted from thinned logs, rotor speed as estimated, against the loop's own samples really filtered. */
export function predictionTrials(flights: number, seed: number): PredictionTrial[] {
  return Array.from({ length: flights }, (_, i) => {
    const random = randomStream(seed + i, "filter prediction");
    const thin = random.pick([1, 2, 4]);
    const telemetry = random.chance(0.6) ? { delayS: 0.004 } : null;
    const flight = loopFlight({ ...someCraft(random, seed + i), logRateHz: 4000, telemetry }, thin);
    const loopRate = flight.loop.timeline.sampleRate;
    const rotor = estimateRotor(flight.log, {});
    const levels = throttleLevels(flight.log);
    const frames = studyFrames(flight.log, levels, { seconds: 0.5, most: 300 });
    const excitation = excitationOf(flight.log, rotor, {
      frames,
      levels,
      loopRate,
      motors: flight.log.motors.length,
      fromHz: FROM_HZ,
    });
    const dtermGain = { roll: 1, pitch: 1, yaw: 1 };
    const predictor = predictorOf(excitation, { fromHz: FROM_HZ, crossoverHz: 20, dtermGain });
    const chains = [...FIXED, ...(rotor.source === "telemetry" ? MOVING : [])];
    return chains.flatMap((chain): PredictionTrial[] => {
      const found = predictor.predict(chain);
      const truth = reallyFilter(flight, chain, { axis: "roll", fromHz: FROM_HZ });
      const trial = (
        path: "gyro" | "dterm",
        value: number,
        ci95: Interval,
        known: number,
      ): PredictionTrial => ({
        thin,
        rotor: rotor.source,
        moving: MOVING.includes(chain),
        path,
        ratio: value / known,
        halfWidth: (ci95[1] - ci95[0]) / 2 / value,
        covered: ci95[0] <= known && known <= ci95[1],
      });
      return [
        trial("gyro", found.gyroRms.roll!, found.gyroCi95.roll!, truth.gyroRms),
        trial("dterm", found.dtermRms.roll!, found.dtermCi95.roll!, truth.dtermRms),
      ];
    });
  }).flat();
}
