import { AXES, type Axis } from "../units.js";
import { harmonic, sharedClasses, type TwoSides } from "./compare-levels.js";
import type { OrderLevels } from "./fingerprint.js";
import { type Level, type LevelRatio, levelRatio, sumOfLevels, withScatter } from "./level.js";
import { LEAST_DOF } from "./limits.js";

export interface OrderRatio extends LevelRatio {
  readonly order: number;
  readonly axis: Axis;
}

/** Degrees of freedom of a whole order below which it is lost in the floor. */
const LEAST_ORDER_DOF = 8;

/** Ratio of the mean square of every order that both flights show, at equal rotor speed, axis by axis. */
export function orderRatios({ before, after, scatterDb }: TwoSides): OrderRatio[] {
  return before.orders.flatMap((one) => {
    const two = after.orders.find((other) => other.order === one.order);
    if (two === undefined) return [];
    return AXES.flatMap((axis): OrderRatio[] => {
      const levels = orderPair(one, two, axis);
      if (levels === null) return [];
      const a = withScatter(levels[0], scatterDb[0]);
      const b = withScatter(levels[1], scatterDb[1]);
      return [{ order: one.order, axis, ...levelRatio(a, b) }];
    });
  });
}

/** The two levels over the classes that both flew, each class with the weight of its time. */
function orderPair(one: OrderLevels, two: OrderLevels, axis: Axis): [Level, Level] | null {
  const [a, b] = [one.axes[axis], two.axes[axis]];
  if (a === null || b === null) return null;
  const parts = sharedClasses(one, two).flatMap(([i, j]) => {
    const before: Level = { mean: a.meanSquare[i]!, dof: a.dof[i]! };
    const after: Level = { mean: b.meanSquare[j]!, dof: b.dof[j]! };
    const known = [before, after].every((level) => level.mean > 0 && level.dof >= LEAST_DOF);
    if (!known) return [];
    const seconds = harmonic(one.classes[i]!.seconds, two.classes[j]!.seconds);
    return [{ before, after, weight: seconds / Math.sqrt(before.mean * after.mean) }];
  });
  if (parts.length === 0) return null;
  const weights = parts.map((p) => p.weight);
  const pair: [Level, Level] = [
    sumOfLevels(
      parts.map((p) => p.before),
      weights,
    ),
    sumOfLevels(
      parts.map((p) => p.after),
      weights,
    ),
  ];
  return Math.min(pair[0].dof, pair[1].dof) < LEAST_ORDER_DOF ? null : pair;
}
