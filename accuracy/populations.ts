import { typicalHoverHz } from "../simulator/defaults.js";
import { type Random, randomStream } from "../simulator/random.js";
import type {
  FaultsSpec,
  FlightSpec,
  LinesSpec,
  ModeSpec,
  RotorsSpec,
  Scenario,
  TelemetrySpec,
  ToneSpec,
} from "../simulator/scenario.js";
import type { Craft } from "../src/craft.js";
import { AXES, type Axis } from "../src/units.js";

/** How hard a population is: the textbook's assumptions hold, or every one of them is bent. */
export type Kindness = "kind" | "unkind";

const LOG_RATES = [400, 500, 800, 1000, 1600, 2000, 3200, 4000];
const PROPELLERS = [3, 4, 5, 6, 7, 8, 10, 12, 13, 15, 17, 18, 20, 22, 24, 28];

/** Flights to measure rotor speed, divisor, delay and worst motor on: no modes in half of them. */
export function rotorPopulation(n: number, seed: number): Scenario[] {
  return population(n, seed, "rotor", (random, base) => ({
    ...base,
    modes: random.chance(0.5) ? someModes(random, base.logRateHz, "kind") : [],
  }));
}

/** Flights at constant speed without a report, logged too slowly for blade pass: their lines stand, some of them folded. */
export function standingPopulation(n: number, seed: number): Scenario[] {
  return population(n, seed, "standing", (random, base) => {
    const { hoverHz, blades } = base.rotors;
    const slow = LOG_RATES.filter((rate) => rate < 2 * (blades ?? 2) * (hoverHz ?? 0));
    const logRateHz = random.pick(slow.length > 0 ? slow : [LOG_RATES[0]!]);
    return {
      ...base,
      logRateHz,
      flight: { ...base.flight, profile: "hover" as const },
      telemetry: null,
      modes: random.chance(0.5) ? someModes(random, logRateHz, "kind") : [],
    };
  });
}

/** Flights with 0 to 3 modes on random axes, under all conditions of the rotor population, some in hover. */
export function modesPopulation(n: number, seed: number, kind: Kindness): Scenario[] {
  return population(n, seed, `modes ${kind}`, (random, base) => {
    const scenario = {
      ...base,
      flight: { ...base.flight, ...(random.chance(0.08) ? { profile: "hover" as const } : {}) },
      modes: someModes(random, base.logRateHz, kind),
      tones: someTones(random, base.logRateHz, kind),
    };
    return kind === "kind" ? scenario : unkindly(random, scenario);
  });
}

/** Flights without any mode or tone: every second has rotor lines, the others plain noise. */
export function noisePopulation(n: number, seed: number): Scenario[] {
  return population(n, seed, "noise", (_, base, index) =>
    index % 2 === 0 ? base : { ...base, lines: { onceDps: 0, twiceDps: 0, bladePassDps: [], unlisted: [] } },
  );
}

/** What the builder of a scenario's craft could write into its craft file. */
export function craftOf(s: Scenario): Craft {
  const { propellerInch, blades, count, polePairs, cells } = s.rotors ?? {};
  return {
    ...(propellerInch === undefined ? {} : { propellerInch }),
    ...(blades === undefined ? {} : { blades }),
    ...(count === undefined ? {} : { rotors: count }),
    ...(polePairs === undefined ? {} : { motorPoles: 2 * polePairs }),
    ...(cells === undefined ? {} : { cells }),
  };
}

type Base = Scenario & {
  readonly rotors: Partial<RotorsSpec>;
  readonly flight: Partial<FlightSpec>;
  readonly lines: Partial<LinesSpec>;
};

function population(
  n: number,
  seed: number,
  label: string,
  make: (random: Random, base: Base, index: number) => Scenario,
): Scenario[] {
  return Array.from({ length: n }, (_, index) => {
    const random = randomStream(seed, `${label} ${index}`);
    return make(random, baseScenario(random, { label, seed, index }), index);
  });
}

/** A flight without modes; telemetry in every second one, profiles in turn. */
function baseScenario(random: Random, at: { label: string; seed: number; index: number }): Base {
  const rotors = someRotors(random);
  const logRateHz = random.pick(LOG_RATES);
  return {
    seed: Math.floor(random.uniform() * 4294967296),
    name: `${at.label} ${at.seed}/${at.index}`,
    durationS: Math.round(random.between(25, 90)),
    logRateHz,
    rotors,
    flight: {
      profile: (["sweep", "cruise", "punchy"] as const)[at.index % 3]!,
      restBeforeS: random.chance(0.3) ? 3 : 0,
      controlActivity: random.between(0.004, 0.025),
      motionDps: random.between(3, 30),
      gustDps: random.between(0.5, 5),
    },
    lines: someLines(random),
    wash: { density: random.logBetween(0.01, 0.08), cornerHz: random.between(120, 400) },
    sensor: {
      density: random.logBetween(0.003, 0.01),
      quantumDps: random.pick([0, 0.01, 0.061, 0.061, 0.061, 0.1, 1]),
    },
    telemetry: Math.floor(at.index / 3) % 2 === 0 ? someTelemetry(random) : null,
    faults: someFaults(random),
    columns: { gyroFiltered: random.chance(0.7), motors: random.chance(0.8), dterm: someDterm(random) },
  };
}

function someDterm(random: Random): Axis[] {
  return random.chance(0.7) ? ["roll", "pitch"] : [];
}

function someRotors(random: Random): Partial<RotorsSpec> {
  const propellerInch = random.pick(PROPELLERS);
  const coaxial = random.chance(0.15);
  const count = random.pick(coaxial ? [6, 8] : [4, 4, 4, 5, 6, 6, 7, 8]);
  return {
    count,
    coaxial,
    coaxialRatio: random.between(1.02, 1.08),
    propellerInch,
    blades: random.pick([2, 2, 3, 3, 4, 5]),
    hoverHz: typicalHoverHz(propellerInch) * random.logBetween(0.8, 1.25),
    hoverThrottle: random.between(0.32, 0.55),
    exponent: random.between(0.5, 1),
    saturation: random.between(0, 0.12),
    spread: random.logBetween(0.003, 0.03),
    trim: random.between(0, 0.03),
    sag: random.between(0.03, 0.15),
    polePairs: random.pick([6, 7, 7, 7, 10, 12, 14, 14, 18, 20, 21]),
    cells: random.pick([4, 6, 6, 8, 12]),
    bad: random.chance(0.5)
      ? { motor: 1 + Math.floor(random.uniform() * count), factor: random.between(2, 3) }
      : null,
    imbalanceSpread: 0.03,
    height: random.between(0.25, 0.6),
  };
}

function someLines(random: Random): LinesSpec {
  const bladePass = random.logBetween(0.1, 1);
  return {
    onceDps: random.logBetween(0.15, 2),
    twiceDps: random.logBetween(0.03, 0.4),
    bladePassDps: [bladePass, bladePass * random.between(0.1, 0.5)],
    unlisted: [],
    wander: 0.03,
  };
}

function someTelemetry(random: Random): Partial<TelemetrySpec> {
  const poor = random.chance(0.35);
  const unit = random.pick(["electrical rpm", "electrical rpm", "rpm", "Hz", "rad/s"] as const);
  return {
    unit,
    tellsElectrical: random.chance(0.5),
    delayS: random.between(0, 0.02),
    refreshHz: random.pick([50, 100, 200, 500, 1e6]),
    step: { "electrical rpm": 100, rpm: 10, Hz: 0.1, "rad/s": 1 }[unit],
    dropoutsPerMinute: poor ? random.between(0, 10) : 0,
    stalePerMinute: poor ? random.between(0, 10) : 0,
    spikesPerMinute: poor ? random.between(0, 20) : 0,
  };
}

function someFaults(random: Random): Partial<FaultsSpec> {
  return {
    burst: random.chance(0.15) ? { onS: random.between(2.5, 6), offS: random.between(0.05, 0.5) } : null,
    lostRows: random.chance(0.2) ? random.logBetween(1e-5, 5e-4) : 0,
    jitter: random.chance(0.3) ? random.between(0.02, 0.15) : 0,
  };
}

/**
 * 0 to 3 modes, 40..700 Hz and below 0.42 of the log rate, at least 1.5 half-power widths and 6 Hz apart, each on one
 * to three axes with 3..25 dB.
 */
function someModes(random: Random, logRateHz: number, kind: Kindness): ModeSpec[] {
  const modes: ModeSpec[] = [];
  const wanted = random.pick([0, 1, 1, 2, 2, 3]);
  const top = Math.min(700, 0.42 * logRateHz);
  for (let tries = 0; modes.length < wanted && tries < 50; tries++) {
    const mode = oneMode(random, top, kind);
    if (modes.every((other) => apart(mode, other))) modes.push(mode);
  }
  return modes.sort((a, b) => a.frequencyHz - b.frequencyHz);
}

function oneMode(random: Random, top: number, kind: Kindness): ModeSpec {
  const count = random.pick([1, 1, 2, 2, 3]);
  const first = Math.floor(random.uniform() * 3);
  const axes = Array.from({ length: count }, (_, i) => AXES[(first + i) % 3]!);
  return {
    frequencyHz: random.logBetween(40, top),
    dampingRatio: random.logBetween(0.005, 0.04),
    prominenceDb: Object.fromEntries(axes.map((axis) => [axis, random.between(3, 25)])),
    ...(kind === "unkind"
      ? { drift: random.between(0, 0.03), couplingSpread: random.between(0.3, 0.8) }
      : {}),
  };
}

function apart(a: ModeSpec, b: ModeSpec): boolean {
  const width = 2 * Math.max(a.dampingRatio * a.frequencyHz, b.dampingRatio * b.frequencyHz);
  return Math.abs(a.frequencyHz - b.frequencyHz) > Math.max(6, 1.5 * width);
}

/** Tones in three flights of ten, drifting by up to 1 Hz a minute in unkind ones, some folded from above Nyquist. */
function someTones(random: Random, logRateHz: number, kind: Kindness): ToneSpec[] {
  if (!random.chance(0.3)) return [];
  return Array.from({ length: random.pick([1, 1, 2]) }, () => ({
    frequencyHz: random.between(30, random.chance(0.3) ? logRateHz : 0.45 * logRateHz),
    amplitudeDps: { [random.pick(AXES)]: random.logBetween(0.05, 0.5) },
    driftHzPerS: kind === "unkind" ? random.between(-1, 1) / 60 : 0,
  }));
}

/** Wandering amplitudes, unlisted orders, bursts of wash. */
function unkindly(random: Random, s: Base): Scenario {
  const once = s.lines.onceDps ?? 0.5;
  const orders = [0.5, 1.5, 1.73, 2.5, 3.4, 4.2];
  const unlisted = Array.from({ length: random.pick([0, 1, 1, 2]) }, () => ({
    order: random.pick(orders),
    dps: once * random.between(0.05, 0.3),
  }));
  return {
    ...s,
    lines: { ...s.lines, unlisted: dedupe(unlisted), wander: random.between(0.1, 0.35) },
    flight: {
      ...s.flight,
      burstsPerMinute: random.between(0, 8),
      burstGain: random.between(2, 4),
    },
  };
}

function dedupe<T extends { order: number }>(lines: T[]): T[] {
  return lines.filter((line, i) => lines.findIndex((other) => other.order === line.order) === i);
}
