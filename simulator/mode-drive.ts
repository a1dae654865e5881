import { AXES, type Axis } from "../src/units.js";
import { floorDensity, modeDensity, type Plant } from "./levels.js";
import { randomStream } from "./random.js";
import type { FullScenario, ModeSpec } from "./scenario.js";

/** A mode on one axis: which motors drive it, and how strongly it shows. */
export interface ModeOnAxis {
  readonly mode: ModeSpec;
  readonly axis: Axis;
  readonly prominenceDb: number;
  /** Weight of each motor's torque; null: the rigid body's torque. */
  readonly weights: Float64Array | null;
  /** Rate over driving torque, relative to the free rigid body; its sign is the mode shape's. */
  readonly gain: number;
}

/**
 * Gains that make every mode stand out by its stated prominence: the mode's own PSD at its natural frequency is
 * (10^(P/10) - 1) times the broadband floor's, both at reference speed and as logged (folded).
 */
export function modesOnAxes(s: FullScenario, plant: Plant): ModeOnAxis[] {
  const random = randomStream(s.craftSeed, "mode shapes");
  return s.modes.flatMap((mode) =>
    AXES.flatMap((axis) => {
      const sign = random.chance(0.5) ? 1 : -1;
      const weights = motorWeights(mode, plant, () => random.normal());
      const prominenceDb = mode.prominenceDb[axis];
      if (prominenceDb === undefined) return [];
      const floor = floorDensity(mode.frequencyHz, axis, plant);
      const unit = modeDensity(mode.frequencyHz, { mode, axis, weights }, plant);
      const gain = sign * Math.sqrt(((10 ** (prominenceDb / 10) - 1) * floor) / unit);
      return [{ mode, axis, prominenceDb, weights, gain }];
    }),
  );
}

function motorWeights(mode: ModeSpec, plant: Plant, normal: () => number): Float64Array | null {
  const spread = mode.couplingSpread ?? 0;
  const draws = plant.places.map(() => 1 + spread * normal());
  return spread > 0 ? Float64Array.from(draws) : null;
}
