import type { Decibel } from "../units.js";
import { bandRatios } from "./compare-levels.js";
import type { Fingerprint } from "./fingerprint.js";
import { ASSUMED_SCATTER_DB, ASSUMED_WEIGHT, WASH_SLOPE } from "./limits.js";

export interface Scatter {
  /** Standard deviation of one flight's level about its build's, dB. */
  readonly db: Decibel;
  readonly from: "assumed" | "flights";
}

const DB = 10 / Math.LN10;

/**
 * How much levels of one unchanged build differ from flight to flight beyond what chi-square scatter explains.
 *
 * From repeats: half the mean square of the band ratios of every pair of one build, less the variance that their
 * degrees of freedom bring (method of moments), drawn towards the assumed value as if that were two flights more.
 *
 * @param builds flights of each build
 * @param fromHz lowest frequency compared
 */
export function scatterBetweenFlights(
  builds: readonly (readonly Fingerprint[])[],
  [fromHz, toHz]: readonly [number, number],
): Scatter {
  const squares: number[] = [];
  for (const prints of builds) {
    prints.forEach((before, i) => {
      for (const after of prints.slice(i + 1)) {
        for (const band of bandRatios({ before, after, scatterDb: [0, 0] }, fromHz, toHz)) {
          const chance = DB ** 2 * (2 / band.dof[0] + 2 / band.dof[1]);
          squares.push((band.ratioDb ** 2 - chance) / 2);
        }
      }
    });
  }
  if (squares.length === 0) return { db: ASSUMED_SCATTER_DB, from: "assumed" };
  const extra = builds.reduce((sum, prints) => sum + prints.length - 1, 0);
  const seen = Math.max(0, squares.reduce((sum, s) => sum + s, 0) / squares.length);
  const db = Math.sqrt((ASSUMED_WEIGHT * ASSUMED_SCATTER_DB ** 2 + extra * seen) / (ASSUMED_WEIGHT + extra));
  return { db, from: "flights" };
}

/** Scatter of one side's mean level, dB: the flights' own, and what the error of their speed makes of wash. */
export function sideScatter(scatter: Scatter, { speedSd }: Fingerprint, flights: number): Decibel {
  return Math.hypot(scatter.db, WASH_SLOPE * DB * speedSd) / Math.sqrt(flights);
}
