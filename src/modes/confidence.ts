import type { MergedMode } from "./merge.js";

/**
 * Confidence of a mode: the share of modes given this number that are real, in simulation.
 * A logistic function of the evidence.
 */
export function confidenceOf(mode: MergedMode): number {
  const best = mode.seen[0]!;
  const drop = Math.log(Math.max(...mode.seen.map((m) => m.drop)));
  const z = -9 + 2.2 * drop + 0.15 * (best.prominenceDb - 8) + 0.7 * (mode.seen.length - 1);
  return Math.min(0.999, 1 / (1 + Math.exp(-z)));
}
