import { AXES, type PerAxis, perAxis } from "../src/units.js";
import { RATE_LOOP_HZ } from "./levels.js";
import type { ModeOnAxis } from "./mode-drive.js";
import { motorForce, type TorqueBlock, type VibrationInput } from "./motor-force.js";
import { resonatorStep, rigidKeep } from "./resonator.js";

/**
 * Vibration rate per axis at the physics rate, deg/s: rigid body plus modes, both driven by the motors' forces.
 *
 * Works block by block between ticks: the motors' torques, then the rigid body, then each mode.
 */
export function vibrationRate(input: VibrationInput): PerAxis<Float64Array> {
  const { block, ticks } = input.plant.clock;
  const rate = perAxis(() => new Float64Array((ticks - 1) * block));
  const motors = input.hz.map((_, m) => motorForce(input, m));
  const rigid = AXES.map(() => rigidBody(input));
  const modes = input.modes.map((mode, j) => resonance(input, mode, j));
  const total: TorqueBlock = [new Float64Array(block), new Float64Array(block), new Float64Array(block)];
  const blocks: ModeBlock = { total, motors: motors.map((m) => m.torque), rate };
  for (let k = 0; k + 1 < ticks; k++) {
    for (const t of total) t.fill(0);
    for (const motor of motors) motor.run(k, total);
    for (let a = 0; a < 3; a++) rigid[a]!(total[a]!, rate[AXES[a]!], k * block);
    for (const mode of modes) mode(k, blocks);
  }
  return rate;
}

function rigidBody(input: VibrationInput) {
  const rate = input.plant.clock.physicsRate;
  const keep = rigidKeep(RATE_LOOP_HZ, rate);
  let v = 0;
  return (torque: Float64Array, out: Float64Array, at: number): void => {
    for (let i = 0; i < torque.length; i++) {
      v = keep * v + torque[i]! / rate;
      out[at + i]! += v;
    }
  };
}

interface ModeBlock {
  readonly total: readonly Float64Array[];
  readonly motors: readonly (readonly Float64Array[])[];
  readonly rate: PerAxis<Float64Array>;
}

function resonance(input: VibrationInput, on: ModeOnAxis, j: number) {
  const { physicsRate, block } = input.plant.clock;
  const a = AXES.indexOf(on.axis);
  const hz = input.modeHz[j]!;
  const own = new Float64Array(block);
  let frequency = Number.NaN;
  let step = resonatorStep(on.mode.frequencyHz, on.mode.dampingRatio, physicsRate);
  let re = 0;
  let im = 0;
  return (k: number, b: ModeBlock): void => {
    if (hz[k] !== frequency) {
      frequency = hz[k]!;
      step = resonatorStep(frequency, on.mode.dampingRatio, physicsRate);
    }
    const drive = on.weights ? weighted(b.motors, { a, weights: on.weights, out: own }) : b.total[a]!;
    const out = b.rate[on.axis];
    const { pole, input: gain } = step;
    const shown = on.gain * (input.drive[j]?.[k] ?? 1);
    for (let i = 0; i < drive.length; i++) {
      const u = drive[i]! * shown;
      const next = pole.re * re - pole.im * im + gain.re * u;
      im = pole.re * im + pole.im * re + gain.im * u;
      re = next;
      out[k * block + i]! += re;
    }
  };
}

function weighted(
  motors: readonly (readonly Float64Array[])[],
  by: { a: number; weights: Float64Array; out: Float64Array },
): Float64Array {
  by.out.fill(0);
  for (let m = 0; m < motors.length; m++) {
    const torque = motors[m]![by.a]!;
    const weight = by.weights[m]!;
    for (let i = 0; i < torque.length; i++) by.out[i]! += weight * torque[i]!;
  }
  return by.out;
}
