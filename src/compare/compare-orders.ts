import { AXES, type Axis } from "../units.js";
import { harmonic, sharedClasses, type TwoSides } from "./compare-levels.js";
import type { FlownClass, LineLevels } from "./fingerprint.js";
import { type Level, type LevelRatio, levelRatio, sumOfLevels, withScatter } from "./level.js";
import { LEAST_DOF } from "./limits.js";

export interface OrderRatio extends LevelRatio {
  readonly order: number;
  /** "all": the sum over the axes. */
  readonly axis: Axis | "all";
}

/** Degrees of freedom of a whole line below which it is lost in the floor. */
const LEAST_LINE_DOF = 8;

/** Ratio of the mean square of every order that both sides show, at equal rotor speed: all axes together, then each. */
export function orderRatios(sides: TwoSides): OrderRatio[] {
  return sides.before.orders.flatMap((one) => {
    const two = sides.after.orders.find((other) => other.order === one.order);
    if (two === undefined) return [];
    return (["all", ...AXES] as const).flatMap((axis): OrderRatio[] => {
      const [a, b] = axis === "all" ? [one.together, two.together] : [one.axes[axis], two.axes[axis]];
      if (a === null || b === null) return [];
      const ratio = lineRatio([one.classes, two.classes], [a, b], sides.scatterDb);
      return ratio === null ? [] : [{ order: one.order, axis, ...ratio }];
    });
  });
}

/** The two levels over the classes that both flew, each class with the weight of its time, not of its loudness. */
export function lineRatio(
  [one, two]: readonly [readonly FlownClass[], readonly FlownClass[]],
  [a, b]: readonly [LineLevels, LineLevels],
  scatterDb: readonly [number, number],
): LevelRatio | null {
  const parts = sharedClasses({ classes: one }, { classes: two }).flatMap(([i, j]) => {
    const before: Level = { mean: a.meanSquare[i]!, dof: a.dof[i]! };
    const after: Level = { mean: b.meanSquare[j]!, dof: b.dof[j]! };
    const known = [before, after].every((level) => level.mean > 0 && level.dof >= LEAST_DOF);
    if (!known) return [];
    const seconds = harmonic(one[i]!.seconds, two[j]!.seconds);
    return [{ before, after, weight: seconds / Math.sqrt(before.mean * after.mean) }];
  });
  if (parts.length === 0) return null;
  const weights = parts.map((p) => p.weight);
  const [before, after] = [parts.map((p) => p.before), parts.map((p) => p.after)].map((levels) =>
    sumOfLevels(levels, weights),
  ) as [Level, Level];
  if (Math.min(before.dof, after.dof) < LEAST_LINE_DOF) return null;
  return levelRatio(withScatter(before, scatterDb[0]), withScatter(after, scatterDb[1]));
}
