import { type MotorPlace, YAW_INERTIA } from "./geometry.js";
import { type Plant, washSigma, washTilt } from "./levels.js";
import type { LineForce } from "./line-forces.js";
import type { ModeOnAxis } from "./mode-drive.js";
import { type Random, randomStream } from "./random.js";

/** Everything the force loop needs, per tick where it changes slowly. */
export interface VibrationInput {
  readonly plant: Plant;
  readonly hz: readonly Float64Array[];
  readonly referenceHz: number;
  readonly lines: readonly (readonly LineForce[])[];
  readonly modes: readonly ModeOnAxis[];
  /** Natural frequency of each of `modes` at every tick. */
  readonly modeHz: readonly Float64Array[];
  /** Relative drive of each of `modes` at every tick; null: even. */
  readonly drive: readonly (Float64Array | null)[];
  readonly washGain: Float64Array;
}

/** RMS lever of a side force, and of a thrust ripple, over roll and pitch. */
export function leverOf(kind: "side" | "thrust", height: number): number {
  return kind === "side" ? height : Math.SQRT1_2;
}

export interface MotorForce {
  /** Torque of this motor in the present block, by axis. */
  readonly torque: TorqueBlock;
  run(tick: number, total: TorqueBlock): void;
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

/** The force of motor m (from 0) as torque about the three axes, block by block. */
export function motorForce(input: VibrationInput, m: number): MotorForce {
  const { clock, scenario, places } = input.plant;
  const { block, physicsRate } = clock;
  const random = randomStream(scenario.seed, `motor force ${m}`);
  const lines = input.lines[m]!;
  const table = lineTable(input, lines);
  const torque: TorqueBlock = [new Float64Array(block), new Float64Array(block), new Float64Array(block)];
  const wash = washForce(input.plant, random);
  const hz = input.hz[m]!;
  const at = { ...places[m]!, height: scenario.rotors.height, referenceHz: input.referenceHz };
  const b: ForceBlock = {
    level: new Float64Array(lines.length),
    sideX: new Float64Array(block),
    sideY: new Float64Array(block),
    thrust: new Float64Array(block),
    phase: random.between(0, 2 * Math.PI),
    from: 0,
    slope: 0,
    perHz: (2 * Math.PI) / physicsRate,
  };
  const run = (k: number, total: TorqueBlock): void => {
    b.from = hz[k]!;
    b.slope = (hz[k + 1]! - b.from) / block;
    lineLevels(lines, { k, level: b.level, limitHz: 0.45 * physicsRate, hz: b.from });
    wash(input.washGain[k]!, b.thrust, torque[2]);
    addLines(table, b);
    addTorque(b, at, { own: torque, total });
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
  return (washGain: number, thrust: Float64Array, turning: Float64Array): void => {
    const scale = sigma * washGain;
    for (let i = 0; i < thrust.length; i++) {
      const a = random.normal();
      const b = random.normal();
      thrust[i] = scale * (a + tilt * (a - lastThrust));
      turning[i] = scale * (b + tilt * (b - lastTurning));
      lastThrust = a;
      lastTurning = b;
    }
  };
}

/** One motor's forces over a block, and its rotor: speed `from` at the first sample, rising by `slope` a sample. */
interface ForceBlock {
  readonly level: Float64Array;
  readonly sideX: Float64Array;
  readonly sideY: Float64Array;
  readonly thrust: Float64Array;
  phase: number;
  from: number;
  slope: number;
  /** Phase per sample and hertz. */
  readonly perHz: number;
}

/** Torque over a block about roll, pitch, yaw. */
export type TorqueBlock = readonly [Float64Array, Float64Array, Float64Array];

/**
 * Turns the rotor through the block: writes the side force, adds the ripple to the thrust. Lines come with whole
 * orders rising, so that each is a few rotations on from the last, and the others at the end.
 */
function addLines(table: LineTable, b: ForceBlock): void {
  let phase = b.phase;
  const count = table.order.length;
  for (let i = 0; i < b.thrust.length; i++) {
    phase += b.perHz * (b.from + b.slope * (i + 0.5));
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
  b.phase = phase;
}

/** Force × lever on each axis, all ∝ speed²; own[2] holds the turning wash force on entry. */
function addTorque(
  b: ForceBlock,
  at: MotorPlace & { readonly height: number; readonly referenceHz: number },
  out: { own: TorqueBlock; total: TorqueBlock },
): void {
  const [roll, pitch, yaw] = out.own;
  const [allRoll, allPitch, allYaw] = out.total;
  const { x, y, turn, height, referenceHz } = at;
  for (let i = 0; i < roll.length; i++) {
    const share = (b.from + b.slope * i) / referenceHz;
    const square = share * share;
    const fx = b.sideX[i]!;
    const fy = b.sideY[i]! * turn;
    const fz = b.thrust[i]!;
    const r = square * (y * fz - height * fy);
    const p = square * (-x * fz + height * fx);
    const w = (square * (yaw[i]! + x * fy - y * fx)) / YAW_INERTIA;
    roll[i] = r;
    pitch[i] = p;
    yaw[i] = w;
    allRoll[i]! += r;
    allPitch[i]! += p;
    allYaw[i]! += w;
  }
}
