import { AXES } from "../units.js";
import type { BandRatio } from "./compare-levels.js";
import type { AxisChange } from "./comparison.js";
import { normalPValue } from "./discoveries.js";

const DB = 10 / Math.LN10;

/**
 * All compared bands of an axis together: the mean of their ratios in dB, each weighing by its degrees of freedom.
 * What the flights' scatter adds is common to all bands and does not average out.
 */
export function axisRatios(
  bands: readonly BandRatio[],
  scatterDb: readonly [number, number],
): Omit<AxisChange, "significant">[] {
  return AXES.flatMap((axis) => {
    const own = bands.filter((band) => band.axis === axis);
    if (own.length === 0) return [];
    const weights = own.map(({ plain: [a, b] }) => 1 / (DB ** 2 * (2 / a.dof + 2 / b.dof)));
    const total = weights.reduce((sum, w) => sum + w, 0);
    const ratioDb = own.reduce((sum, band, i) => sum + weights[i]! * band.ratioDb, 0) / total;
    const sd = Math.sqrt(1 / total + scatterDb[0] ** 2 + scatterDb[1] ** 2);
    return [
      {
        axis,
        fromHz: own[0]!.fromHz,
        toHz: own.at(-1)!.toHz,
        ratioDb,
        ci95Db: [ratioDb - 1.96 * sd, ratioDb + 1.96 * sd] as const,
        pValue: normalPValue(ratioDb / sd),
      },
    ];
  });
}
