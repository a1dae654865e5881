import { pathToFileURL } from "node:url";
import { type Random, randomStream } from "../simulator/random.js";
import type { FilterSpec, Scenario } from "../simulator/scenario.js";
import { simulateFlight } from "../simulator/simulate.js";
import type { Chain, FilterStep, LowPassStep } from "../src/filters/chain.js";
import { excitationOf } from "../src/filters/excitation.js";
import { filterStudy, isRefusal } from "../src/filters/filter-study.js";
import { predictorOf } from "../src/filters/predictor.js";
import { studyFrames } from "../src/filters/study-frames.js";
import { throttleLevels } from "../src/filters/throttle-levels.js";
import { estimateRotor } from "../src/rotor/estimate-rotor.js";
import { quantile } from "../src/stats/quantile.js";
import { NO_MODES, NO_ROTOR } from "../tests/filters/blank.js";
import { loopFlight, reallyFilter } from "../tests/filters/really-filter.js";

/** Error of one measured delay. */
export interface DelayTrial {
  readonly path: "gyro" | "dterm";
  /** All levels and axes together, or one row of the table. */
  readonly scope: "flight" | "row";
  readonly logRateHz: number;
  readonly truthMs: number;
  readonly errorMs: number;
  readonly halfWidthMs: number;
}

/** Prediction of one chain over what really filtering at loop rate gives. */
export interface PredictionTrial {
  readonly thin: number;
  readonly rotor: "telemetry" | "inferred" | "none";
  readonly moving: boolean;
  readonly gyro: number;
  readonly dterm: number;
}

const PROFILES = ["sweep", "cruise", "punchy"] as const;

export function someCraft(random: Random, seed: number): Scenario {
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
export function someFilters(
  random: Random,
  [lowHz, highHz]: readonly [number, number],
  rich = false,
): FilterSpec[] {
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
    const study = filterStudy(timeline, NO_ROTOR, NO_MODES, {}, { loopRateHz: truth.chain.loopRateHz });
    if (isRefusal(study)) return [];
    const gyroMs = 1000 * truth.chain.gyroDelayS;
    const truthOf = { gyro: gyroMs, dterm: gyroMs + 1000 * truth.chain.dtermDelayS };
    const trial = (
      path: "gyro" | "dterm",
      scope: "flight" | "row",
      ms: number,
      ci: readonly [number, number],
    ): DelayTrial => ({
      path,
      scope,
      logRateHz,
      truthMs: truthOf[path],
      errorMs: ms - truthOf[path],
      halfWidthMs: (ci[1] - ci[0]) / 2,
    });
    const { own, measured } = study;
    return [
      ...(own.gyroDelayMs === null ? [] : [trial("gyro", "flight", own.gyroDelayMs, own.gyroCi95Ms!)]),
      ...(own.delayMs === null ? [] : [trial("dterm", "flight", own.delayMs, own.ci95Ms!)]),
      ...measured.flatMap((m) => (m.delayMs === null ? [] : [trial(m.path, "row", m.delayMs, m.ci95Ms!)])),
    ];
  }).flat();
}

const lowPass = (order: 1 | 2, corner: LowPassStep["corner"]): FilterStep => ({
  kind: "low-pass",
  order,
  corner,
});
const onRotor = (...orders: number[]): FilterStep => ({ kind: "rotor notches", orders, q: 5, lowestHz: 30 });

export const FIXED: readonly Chain[] = [
  { gyro: [], dterm: [lowPass(2, 100)] },
  { gyro: [lowPass(1, 150)], dterm: [lowPass(2, 80)] },
  { gyro: [lowPass(2, 90), { kind: "notch", centreHz: 118, q: 3 }], dterm: [lowPass(1, 100)] },
];
export const MOVING: readonly Chain[] = [
  { gyro: [onRotor(1)], dterm: [lowPass(2, 120)] },
  { gyro: [onRotor(1, 2)], dterm: [lowPass(2, { atZeroHz: 75, atFullHz: 110 })] },
];
const FROM_HZ = 20;

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
    return chains.map((chain): PredictionTrial => {
      const { gyroRms, dtermRms } = predictor.predict(chain);
      const truth = reallyFilter(flight, chain, { axis: "roll", fromHz: FROM_HZ });
      return {
        thin,
        rotor: rotor.source,
        moving: MOVING.includes(chain),
        gyro: gyroRms.roll! / truth.gyroRms,
        dterm: dtermRms.roll! / truth.dtermRms,
      };
    });
  }).flat();
}

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;
const row = (...cells: (string | number)[]): string => `| ${cells.join(" | ")} |`;

/** Both measurements as a section of docs/accuracy.md. */
export function filtersReport({ flights = 40, seed = 8800 } = {}): string {
  const delays = delayTrials(flights, seed);
  const predictions = predictionTrials(Math.ceil(flights / 2), seed + 1000);
  return [
    "## What filtering costs",
    "",
    `${flights} simulated flights of 60 s with known random chains, logs of 500 to 2000 Hz.`,
    "",
    row("measured delay", "cases", "median error", "95th percentile", "median half-width", "interval covers"),
    row("---", "---", "---", "---", "---", "---"),
    ...(["gyro", "dterm"] as const).flatMap((path) =>
      (["flight", "row"] as const).map((scope) => delayRow(delays, path, scope)),
    ),
    "",
    `${Math.ceil(flights / 2)} flights known at 4 kHz, logged at 1 to 4 kHz; RMS above ${FROM_HZ} Hz predicted from the log ` +
      "against the loop's samples really filtered.",
    "",
    row(
      "prediction",
      "cases",
      "median error, gyro",
      "95th percentile",
      "median error, D-term",
      "95th percentile",
      "within 3 %",
    ),
    row("---", "---", "---", "---", "---", "---", "---"),
    ...[1, 2, 4].flatMap((thin) => [false, true].map((moving) => predictionRow(predictions, thin, moving))),
    "",
  ].join("\n");
}

function delayRow(all: readonly DelayTrial[], path: "gyro" | "dterm", scope: "flight" | "row"): string {
  const of = all.filter((t) => t.path === path && t.scope === scope);
  const errors = of.map((t) => Math.abs(t.errorMs));
  const inside = of.filter((t) => Math.abs(t.errorMs) <= t.halfWidthMs).length;
  const name = `raw gyro to ${path === "gyro" ? "filtered gyro" : "D-term"}, ${scope === "flight" ? "whole flight" : "per axis and throttle level"}`;
  const ms = (q: number, values: readonly number[]): string => `${quantile(values, q).toFixed(3)} ms`;
  const widths = of.map((t) => t.halfWidthMs);
  return row(
    name,
    of.length,
    ms(0.5, errors),
    ms(0.95, errors),
    ms(0.5, widths),
    percent(inside / of.length),
  );
}

function predictionRow(all: readonly PredictionTrial[], thin: number, moving: boolean): string {
  const of = all.filter((t) => t.thin === thin && t.moving === moving);
  const gyro = of.map((t) => Math.abs(t.gyro - 1));
  const dterm = of.map((t) => Math.abs(t.dterm - 1));
  const within = [...gyro, ...dterm].filter((e) => e < 0.03).length / (2 * of.length);
  const name = `${moving ? "filters that move" : "fixed filters"}, ${thin === 1 ? "every sample" : `one sample in ${thin}`} logged`;
  const at = (values: readonly number[], q: number): string => percent(quantile(values, q));
  return row(
    name,
    of.length,
    at(gyro, 0.5),
    at(gyro, 0.95),
    at(dterm, 0.5),
    at(dterm, 0.95),
    percent(within),
  );
}

if (process.argv[1] !== undefined && import.meta.url === pathToFileURL(process.argv[1]).href) {
  process.stdout.write(`${filtersReport({ flights: Number(process.argv[2] ?? 40) })}\n`);
}
