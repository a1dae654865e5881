import { AXES, type Axis, type Hertz, type PerAxis, perAxis } from "../units.js";
import { overAxes } from "./order-amplitudes.js";

/** Width of a class of speed, ln. */
export const SPEED_CLASS = 0.04;

/** How much louder than a rigid body the craft answers on an axis at a frequency, as a ratio of powers. */
export type Response = (axis: Axis, hz: Hertz) => number;

/** Where modes answer by more than this (ln of power), their fit says less of the level than speeds away from them. */
const AT_MODE = 0.5;
/** Share of what is taken off for the modes (ln of power) that their fit leaves open. */
const UNSURE_SHARE = 0.15;

/** Power of one motor's line in one block, brought to the reference speed. */
export interface Cell {
  readonly m: number;
  /** Class of speed, in steps of 4 %. */
  readonly speed: number;
  readonly power: number;
  readonly axes: PerAxis<number>;
  readonly weight: number;
  /** How much of the line is the motor's own, 0 to 1. */
  readonly own: number;
}

/** How much louder than a rigid body the craft answers at each class of speed, by alternating least squares. */
export function commonAnswer(cells: readonly Cell[], motors: number): Map<number, number> {
  const answer = new Map(cells.map((c) => [c.speed, 1]));
  let strength = new Float64Array(motors).fill(1);
  for (let round = 0; round < 8; round++) {
    strength = strengths(cells, answer, motors);
    const up = new Map<number, number>();
    const down = new Map<number, number>();
    for (const { m, speed, power, weight } of cells) {
      up.set(speed, (up.get(speed) ?? 0) + weight * power * strength[m]!);
      down.set(speed, (down.get(speed) ?? 0) + weight * strength[m]! ** 2);
    }
    for (const speed of answer.keys()) {
      const ratio = down.get(speed)! > 0 ? up.get(speed)! / down.get(speed)! : 1;
      answer.set(speed, Math.min(50, Math.max(0.1, ratio)));
    }
  }
  return answer;
}

/** The answer at its own level, with the deviation of that level (ln of power). */
export interface LevelledAnswer {
  readonly answer: ReadonlyMap<number, number>;
  readonly sd: number;
}

/**
 * The common answer is known but for a factor. Without the modes' response its mean is 1; with it the answer is brought
 * to the response, over all axes as the motors shake them.
 */
export function levelled(
  answer: ReadonlyMap<number, number>,
  cells: readonly Cell[],
  response: Response | null,
): LevelledAnswer {
  const expected = response && expectedAnswer(cells, response);
  if (expected === null) return { answer: atMeanOne(answer, cells), sd: 0 };
  const classes = new Map<number, number>();
  for (const c of cells) classes.set(c.speed, (classes.get(c.speed) ?? 0) + c.weight);
  const points = [...classes].map(([speed, weight]) => {
    const rise = Math.log(expected.get(speed)!);
    const off = Math.log(answer.get(speed)!) - rise;
    return { weight: weight / (1 + (rise / AT_MODE) ** 2), off, rise };
  });
  const total = points.reduce((sum, p) => sum + p.weight, 0);
  const off = points.reduce((sum, p) => sum + p.weight * p.off, 0) / total;
  const spread = points.reduce((sum, p) => sum + p.weight * (p.off - off) ** 2, 0) / total;
  const worth = total ** 2 / points.reduce((sum, p) => sum + p.weight ** 2, 0);
  const taken = points.reduce((sum, p) => sum + p.weight * Math.abs(p.rise), 0) / total;
  return {
    answer: new Map([...answer].map(([speed, a]) => [speed, a / Math.exp(off)])),
    sd: Math.hypot(Math.sqrt(spread / Math.max(1, worth - 1)), UNSURE_SHARE * taken),
  };
}

/**
 * The modes' response per class of speed, the axes weighed by how hard a rigid craft would be shaken on each; null where no
 * axis shows a line.
 */
function expectedAnswer(cells: readonly Cell[], response: Response): Map<number, number> | null {
  const speeds = new Set(cells.map((c) => c.speed));
  const at = new Map(
    [...speeds].map((v) => [v, perAxis((axis) => response(axis, Math.exp(v * SPEED_CLASS)))]),
  );
  const rigid = perAxis((axis) => {
    const up = cells.reduce((sum, c) => sum + c.weight * c.axes[axis], 0);
    return Math.max(0, up / cells.reduce((sum, c) => sum + c.weight * at.get(c.speed)![axis], 0));
  });
  const whole = overAxes(rigid);
  if (!(whole > 0)) return null;
  return new Map(
    [...at].map(([speed, r]) => [
      speed,
      Math.max(0.1, AXES.reduce((sum, a) => sum + rigid[a] * r[a], 0) / whole),
    ]),
  );
}

function atMeanOne(answer: ReadonlyMap<number, number>, cells: readonly Cell[]): Map<number, number> {
  const total = cells.reduce((sum, c) => sum + c.weight, 0);
  const mean = cells.reduce((sum, c) => sum + c.weight * answer.get(c.speed)!, 0) / total;
  return new Map([...answer].map(([speed, a]) => [speed, a / mean]));
}

function strengths(
  cells: readonly Cell[],
  answer: ReadonlyMap<number, number>,
  motors: number,
): Float64Array<ArrayBuffer> {
  const up = new Float64Array(motors);
  const down = new Float64Array(motors);
  for (const { m, speed, power, weight } of cells) {
    const a = answer.get(speed)!;
    // Weighted by 1 / a²: scatter grows with the power itself.
    up[m] = up[m]! + (weight * power) / a;
    down[m] = down[m]! + weight;
  }
  return up.map((u, m) => (down[m]! > 0 ? Math.max(0, u / down[m]!) : 0));
}
