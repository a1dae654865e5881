import { type Random, randomStream } from "../../simulator/random.js";
import type { FlightSpec, ModeSpec, RotorsSpec, Scenario } from "../../simulator/scenario.js";
import { AXES } from "../../src/units.js";

/** What was done to a craft between two flights. */
export const CHANGES = ["nothing", "mode moved 3 %", "level 2 dB", "propeller 2× worse"] as const;
export type Change = (typeof CHANGES)[number];

/** One invented craft flown twice, differently, with something done to it in between. */
export interface FlightPair {
  readonly before: Scenario;
  readonly after: Scenario;
  /** +1: moved up, or louder; −1: moved down, or quieter. */
  readonly sign: 1 | -1;
  /** Motor that got worse. */
  readonly motor: number;
  /** The mode that moved, as before. */
  readonly mode: ModeSpec;
}

const SECONDS = 40;

/**
 * The craft number `index` of a seed, flown twice: other profile, other motion, other gusts, other battery. The
 * flight before is the same for every change.
 */
export function flightPair(seed: number, index: number, change: Change): FlightPair {
  const random = randomStream(seed, `pair ${index}`);
  const craft = someCraft(random);
  const sign = random.chance(0.5) ? 1 : -1;
  const motor = 1 + Math.floor(random.uniform() * craft.rotors!.count!);
  const mode = craft.modes![0]!;
  const before = flown(craft, random, `${index} before`);
  const unchanged = flown(craft, random, `${index} after`);
  const after = changed(unchanged, change, { sign, motor });
  return { before, after, sign, motor, mode };
}

type Craft = Omit<Scenario, "seed" | "durationS" | "flight"> & { readonly rotors: Partial<RotorsSpec> };

function someCraft(random: Random): Craft {
  const hoverHz = random.between(55, 140);
  const logRateHz = random.pick([1000, 1000, 1000, 1600]);
  return {
    craftSeed: Math.floor(random.uniform() * 4294967296),
    referenceHz: hoverHz,
    logRateHz,
    rotors: {
      count: random.pick([4, 4, 4, 6]),
      blades: random.pick([2, 2, 3]),
      propellerInch: random.pick([12, 15, 18, 22]),
      hoverHz,
      hoverThrottle: random.between(0.35, 0.5),
      exponent: random.between(0.55, 0.9),
      spread: random.logBetween(0.004, 0.03),
      trim: random.between(0, 0.03),
      polePairs: random.pick([7, 10, 14]),
      imbalanceSpread: 0.1,
      height: random.between(0.25, 0.6),
    },
    lines: {
      onceDps: random.logBetween(0.2, 1.5),
      twiceDps: random.logBetween(0.05, 0.3),
      bladePassDps: [random.logBetween(0.1, 0.6), 0.1],
      wander: 0.05,
    },
    wash: { density: random.logBetween(0.015, 0.08), cornerHz: random.between(120, 400) },
    sensor: { density: random.logBetween(0.002, 0.006) },
    modes: someModes(random, logRateHz),
    telemetry: random.chance(0.75) ? { refreshHz: random.pick([50, 100, 200]), tellsElectrical: true } : null,
  };
}

/** One or two structural modes, 8 to 22 dB on one or two axes. */
function someModes(random: Random, logRateHz: number): ModeSpec[] {
  const one = (from: number, to: number): ModeSpec => {
    const first = Math.floor(random.uniform() * 3);
    const axes = Array.from({ length: random.pick([1, 2]) }, (_, i) => AXES[(first + i) % 3]!);
    return {
      frequencyHz: random.logBetween(from, to),
      dampingRatio: random.logBetween(0.006, 0.03),
      prominenceDb: Object.fromEntries(axes.map((axis) => [axis, random.between(8, 22)])),
    };
  };
  const first = one(40, 180);
  return random.chance(0.5) ? [first] : [first, one(first.frequencyHz * 1.5, Math.min(420, 0.4 * logRateHz))];
}

/** One flight of a craft: everything that is not the craft's own is drawn anew. */
function flown(craft: Craft, random: Random, name: string): Scenario {
  const flight: Partial<FlightSpec> = {
    profile: random.pick(["sweep", "sweep", "cruise", "cruise", "punchy", "hover"] as const),
    controlActivity: random.between(0.004, 0.025),
    motionDps: random.between(3, 30),
    gustDps: random.between(0.5, 5),
    burstsPerMinute: random.chance(0.3) ? random.between(1, 6) : 0,
  };
  return {
    ...craft,
    rotors: { ...craft.rotors, sag: random.between(0.03, 0.15) },
    seed: Math.floor(random.uniform() * 4294967296),
    name,
    durationS: SECONDS,
    flight,
  };
}

function changed(
  s: Scenario,
  change: Change,
  { sign, motor }: { readonly sign: 1 | -1; readonly motor: number },
): Scenario {
  if (change === "mode moved 3 %") {
    const modes = s.modes!.map((m, i) =>
      i === 0 ? { ...m, frequencyHz: m.frequencyHz * (1 + 0.03 * sign) } : m,
    );
    return { ...s, modes };
  }
  if (change === "level 2 dB") return louder(s, 2 * sign);
  if (change === "propeller 2× worse") return { ...s, rotors: { ...s.rotors, bad: { motor, factor: 2 } } };
  return s;
}

/** Everything broadband changed by so many dB, so that the logged level truly is. */
function louder(s: Scenario, db: number): Scenario {
  const factor = 10 ** (db / 20);
  return {
    ...s,
    wash: { ...s.wash, density: s.wash!.density! * factor },
    sensor: { ...s.sensor, density: s.sensor!.density! * factor },
  };
}
