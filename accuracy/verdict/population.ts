import { type Random, randomStream } from "../../simulator/random.js";
import type { Scenario } from "../../simulator/scenario.js";

/** Crafts from fine to dreadful, 5 to 28 inch, flown well. */
export function verdictPopulation(n: number, seed: number): Scenario[] {
  return Array.from({ length: n }, (_, i) => drawn(randomStream(seed + i, "verdict"), seed * 1000 + i));
}

function drawn(random: Random, seed: number): Scenario {
  const log = (low: number, high: number): number => low * (high / low) ** random.uniform();
  const pick = <T>(from: readonly T[]): T => from[Math.floor(random.uniform() * from.length)]!;
  const propellerInch = pick([5, 7, 8, 10, 13, 15, 18, 22, 28]);
  const hoverHz = 500 * (3 / propellerInch) ** 1.05 * random.between(0.85, 1.1);
  const blades = random.chance(0.3) ? 3 : 2;
  const logRateHz = [1000, 2000, 4000].find((rate) => rate > 2.6 * blades * hoverHz * 1.25) ?? 4000;
  const size = propellerInch / 15;
  const durationS = random.between(40, 70);
  return {
    seed,
    craftSeed: seed,
    // The speed about which a planned flight turns: levels hold there on every flight of the craft.
    referenceHz: hoverHz,
    durationS,
    logRateHz,
    rotors: {
      count: random.chance(0.3) ? 6 : 4,
      propellerInch,
      blades,
      hoverHz,
      spread: 0.012,
      polePairs: 7,
    },
    flight: { profile: planned(random, durationS), restBeforeS: 2, motionDps: 8, gustDps: 1.2 },
    lines: {
      onceDps: log(0.1, 6) / size,
      twiceDps: 0.1,
      bladePassDps: [log(0.1, 1.5), 0.08],
      wander: 0.03,
    },
    wash: { density: log(0.006, 0.05), cornerHz: 200 },
    modes: [
      {
        frequencyHz: hoverHz * pick([0.5, 1, 1.45, 3.3]) * random.between(0.95, 1.05),
        dampingRatio: random.between(0.012, 0.03),
        prominenceDb: { roll: random.between(9, 24), pitch: random.between(7, 15) },
      },
    ],
    telemetry: random.chance(0.6) ? { unit: "rpm", delayS: 0.006, refreshHz: 200, step: 10 } : null,
  };
}

/** A flight plan that every flight of a craft keeps to: legs held and swept, in throttle about a hover at 0.45. */
function planned(random: Random, durationS: number): [number, number][] {
  const points: [number, number][] = [[0, 0.45]];
  for (let t = 0; t < durationS; ) {
    const level = 0.45 * random.between(0.8, 1.35);
    t += random.between(1.5, 6);
    points.push([t, level]);
    t += random.between(2, 7);
    points.push([t, level]);
  }
  return points;
}
