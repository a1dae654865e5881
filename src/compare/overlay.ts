import { AXES } from "../units.js";
import { harmonic, sharedClasses } from "./compare-levels.js";
import type { OverlayCurve } from "./comparison.js";
import type { CellLevels, Fingerprint } from "./fingerprint.js";
import { LEAST_DOF } from "./limits.js";

/**
 * Both sides' level per cell at equal rotor speed, for drawing: the mean in dB over the classes that both flew, each
 * weighing by the time both spent there.
 */
export function overlayCurves(before: Fingerprint, after: Fingerprint): OverlayCurve[] {
  const shared = sharedClasses(before, after);
  const { edgesHz } = before;
  const cells = Math.min(edgesHz.length, after.edgesHz.length) - 1;
  return AXES.flatMap((axis): OverlayCurve[] => {
    const [a, b] = [before.axes[axis], after.axes[axis]];
    if (a === null || b === null) return [];
    const at = (cell: number, levels: CellLevels, side: 0 | 1): number | null => {
      let sum = 0;
      let weights = 0;
      for (const pair of shared) {
        if (!(a.dof[pair[0]]![cell]! >= LEAST_DOF && b.dof[pair[1]]![cell]! >= LEAST_DOF)) continue;
        const weight = harmonic(before.classes[pair[0]]!.seconds, after.classes[pair[1]]!.seconds);
        sum += weight * levels.levelDb[pair[side]]![cell]!;
        weights += weight;
      }
      return weights > 0 ? sum / weights : null;
    };
    const numbers = Array.from({ length: cells }, (_, i) => i);
    return [
      {
        axis,
        hz: numbers.map((i) => Math.sqrt(edgesHz[i]! * edgesHz[i + 1]!)),
        beforeDb: numbers.map((i) => at(i, a, 0)),
        afterDb: numbers.map((i) => at(i, b, 1)),
      },
    ];
  });
}
