import type { ModeShape } from "./fit-modes.js";

/** Least half-width of a peak's core, bins. */
const LEAST_BINS = 1.5;

/** Half-open range of bins of a peak's core: its half-power width, three bins at least. @param df bin spacing, Hz */
export function coreBins(
  { frequencyHz, dampingRatio }: Pick<ModeShape, "frequencyHz" | "dampingRatio">,
  df: number,
): [from: number, to: number] {
  const half = Math.max(dampingRatio * frequencyHz, LEAST_BINS * df);
  return [Math.max(0, Math.ceil((frequencyHz - half) / df)), Math.floor((frequencyHz + half) / df) + 1];
}
