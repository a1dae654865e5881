import { AXES, type PerAxis, perAxis } from "../src/units.js";
import { YAW_INERTIA } from "./geometry.js";
import { type Plant, RATE_LOOP_HZ, washSigma, washTilt } from "./levels.js";
import type { LineForce } from "./line-forces.js";
import type { ModeOnAxis } from "./mode-drive.js";
import { type Random, randomStream } from "./random.js";
import { resonatorStep, rigidKeep } from "./resonator.js";

/** Everything the force loop needs, per tick where it changes slowly. */
export interface VibrationInput {
  readonly plant: Plant;
  readonly hz: readonly Float64Array[];
  readonly referenceHz: number;
  readonly lines: readonly (readonly LineForce[])[];
  readonly modes: readonly ModeOnAxis[];
  /** Natural frequency of each of `modes` at every tick. */
  readonly modeHz: readonly Float64Array[];
  readonly washGain: Float64Array;
}

/** RMS lever of a side force, and of a thrust ripple, over roll and pitch. */
export function leverOf(kind: "side" | "thrust", height: number): number {
  return kind === "side" ? height : Math.SQRT1_2;
}

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
  const total = AXES.map(() => new Float64Array(block));
  const blocks: ModeBlock = { total, motors: motors.map((m) => m.torque), rate };
  for (let k = 0; k + 1 < ticks; k++) {
    for (const t of total) t.fill(0);
    for (const motor of motors) motor.run(k, total);
    AXES.forEach((axis, a) => {
      rigid[a]!(total[a]!, rate[axis], k * block);
    });
    for (const mode of modes) mode(k, blocks);
  }
  return rate;
}

interface MotorForce {
  /** Torque of this motor in the present block, by axis. */
  readonly torque: readonly Float64Array[];
  run(tick: number, total: readonly Float64Array[]): void;
}

/** Amplitudes of one motor's lines in force units, ready for the loop. */
interface LineTable {
  readonly order: Float64Array;
  readonly whole: Uint8Array;
  readonly side: Uint8Array;
  readonly re: Float64Array;
  readonly im: Float64Array;
}

function lineTable(input: VibrationInput, lines: readonly LineForce[]): LineTable {
  const { height } = input.plant.scenario.rotors;
  const force = (l: LineForce): number =>
    (l.dps * 2 * Math.PI * l.order * input.referenceHz) / leverOf(l.kind, height);
  return {
    order: Float64Array.from(lines, (l) => l.order),
    whole: Uint8Array.from(lines, (l) => (Number.isInteger(l.order) ? 1 : 0)),
    side: Uint8Array.from(lines, (l) => (l.kind === "side" ? 1 : 0)),
    re: Float64Array.from(lines, (l) => force(l) * Math.cos(l.phase)),
    im: Float64Array.from(lines, (l) => force(l) * Math.sin(l.phase)),
  };
}

function motorForce(input: VibrationInput, m: number): MotorForce {
  const { clock, scenario, places } = input.plant;
  const { block, physicsRate } = clock;
  const random = randomStream(scenario.seed, `motor force ${m}`);
  const lines = input.lines[m]!;
  const table = lineTable(input, lines);
  const level = new Float64Array(lines.length);
  const sideX = new Float64Array(block);
  const sideY = new Float64Array(block);
  const thrust = new Float64Array(block);
  const torque = AXES.map(() => new Float64Array(block));
  const wash = washForce(input.plant, random);
  const hz = input.hz[m]!;
  let phase = random.between(0, 2 * Math.PI);
  const run = (k: number, total: readonly Float64Array[]): void => {
    const from = hz[k]!;
    const slope = (hz[k + 1]! - from) / block;
    lineLevels(lines, { k, level, limitHz: 0.45 * physicsRate, hz: from });
    wash({ washGain: input.washGain[k]!, thrust, turning: torque[2]! });
    phase = addLines(table, { level, sideX, sideY, thrust, phase, from, slope, rate: physicsRate });
    addTorque({ sideX, sideY, thrust, torque, total, from, slope }, input.referenceHz, {
      ...places[m]!,
      height: scenario.rotors.height,
    });
  };
  return { torque, run };
}

function lineLevels(
  lines: readonly LineForce[],
  at: { k: number; level: Float64Array; limitHz: number; hz: number },
): void {
  for (let i = 0; i < lines.length; i++) {
    const line = lines[i]!;
    at.level[i] = line.order * at.hz > at.limitHz ? 0 : (line.wander?.[at.k] ?? 1);
  }
}

/** White force with the difference's zero: rate falls as 1/f up to the corner, then stays level. */
function washForce(plant: Plant, random: Random) {
  const sigma = washSigma(plant);
  const tilt = washTilt(plant);
  let lastThrust = 0;
  let lastTurning = 0;
  return (out: { washGain: number; thrust: Float64Array; turning: Float64Array }): void => {
    const scale = sigma * out.washGain;
    for (let i = 0; i < out.thrust.length; i++) {
      const a = random.normal();
      const b = random.normal();
      out.thrust[i] = scale * (a + tilt * (a - lastThrust));
      out.turning[i] = scale * (b + tilt * (b - lastTurning));
      lastThrust = a;
      lastTurning = b;
    }
  };
}

interface LineBlock {
  readonly level: Float64Array;
  readonly sideX: Float64Array;
  readonly sideY: Float64Array;
  readonly thrust: Float64Array;
  readonly phase: number;
  readonly from: number;
  readonly slope: number;
  readonly rate: number;
}

/**
 * Writes the side force, adds the ripple to the thrust; returns the phase after the block. Lines come with whole
 * orders rising, so that each is a few rotations on from the last, and the others at the end.
 */
function addLines(table: LineTable, b: LineBlock): number {
  let phase = b.phase;
  const count = table.order.length;
  const perHz = (2 * Math.PI) / b.rate;
  for (let i = 0; i < b.thrust.length; i++) {
    phase += perHz * (b.from + b.slope * (i + 0.5));
    const c1 = Math.cos(phase);
    const s1 = Math.sin(phase);
    let x = 0;
    let y = 0;
    let ripple = 0;
    let order = 0;
    let c = 1;
    let s = 0;
    for (let j = 0; j < count; j++) {
      if (table.whole[j] === 1) {
        for (; order < table.order[j]!; order++) {
          const next = c * c1 - s * s1;
          s = c * s1 + s * c1;
          c = next;
        }
      } else {
        c = Math.cos(table.order[j]! * phase);
        s = Math.sin(table.order[j]! * phase);
      }
      const re = b.level[j]! * (table.re[j]! * c - table.im[j]! * s);
      if (table.side[j] === 1) {
        x += re;
        y += b.level[j]! * (table.re[j]! * s + table.im[j]! * c);
      } else ripple += re;
    }
    b.sideX[i] = x;
    b.sideY[i] = y;
    b.thrust[i]! += ripple;
  }
  return phase;
}

interface TorqueBlock {
  readonly sideX: Float64Array;
  readonly sideY: Float64Array;
  readonly thrust: Float64Array;
  readonly torque: readonly Float64Array[];
  readonly total: readonly Float64Array[];
  readonly from: number;
  readonly slope: number;
}

/** Force × lever on each axis, all ∝ speed²; torque[2] holds the turning wash force on entry. */
function addTorque(
  b: TorqueBlock,
  referenceHz: number,
  at: { x: number; y: number; turn: number; height: number },
): void {
  const [roll, pitch, yaw] = b.torque as [Float64Array, Float64Array, Float64Array];
  const [allRoll, allPitch, allYaw] = b.total as [Float64Array, Float64Array, Float64Array];
  for (let i = 0; i < roll.length; i++) {
    const share = (b.from + b.slope * i) / referenceHz;
    const square = share * share;
    const fx = b.sideX[i]!;
    const fy = b.sideY[i]! * at.turn;
    const fz = b.thrust[i]!;
    const r = square * (at.y * fz - at.height * fy);
    const p = square * (-at.x * fz + at.height * fx);
    const w = (square * (yaw[i]! + at.x * fy - at.y * fx)) / YAW_INERTIA;
    roll[i] = r;
    pitch[i] = p;
    yaw[i] = w;
    allRoll[i]! += r;
    allPitch[i]! += p;
    allYaw[i]! += w;
  }
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
    for (let i = 0; i < drive.length; i++) {
      const u = drive[i]! * on.gain;
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
