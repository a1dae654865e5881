import type { AxisMode } from "./axis-mode.js";
import { BIN_CORRELATION } from "./masked-average.js";
import { evaluateModel } from "./mode-model.js";
import type { Seed } from "./seeds.js";

/** Standard deviations by which a fit's residual must stand out. Generous: the fit of what is found decides. */
const LEAST_SD = 4;
/** … and ln by which (1.3 dB). */
const LEAST_EXCESS = 0.3;
/** Half-width of the template as a damping ratio, and bins. */
const WIDTH = 0.008;
const LEAST_HALF_BINS = 1;
/** Residuals this many half-widths from the mode are other seeds' business. */
const REACH = 4;

/** Residual of a fit around a bin: mean ln(S/M) over the template, with its standard deviation. */
function excessAt(mode: AxisMode, bin: number, half: number): { mean: number; sd: number } {
  const { window } = mode.fit;
  const { density, shape } = mode.average;
  let weight = 0;
  let sum = 0;
  for (let b = bin - half; b <= bin + half; b++) {
    const s = density[b]!;
    const model = window.logModel[b - window.firstBin];
    if (model === undefined || !(s > 0)) continue;
    weight += shape[b]!;
    sum += shape[b]! * (Math.log(s) - model);
  }
  return { mean: sum / weight, sd: Math.sqrt(BIN_CORRELATION / weight) };
}

/**
 * Places near a fitted mode that its fit leaves unexplained: two modes close together melt into one wide peak, and one
 * mode fitted to both leaves what stands on either side of it.
 *
 * @returns strongest first; none where the fit explains its window
 */
export function residualSeeds(mode: AxisMode): Seed[] {
  const { fit, average, frequencyHz, dampingRatio } = mode;
  const { firstBin, bins, df } = fit.window;
  evaluateModel(fit.window, fit.theta);
  const half = Math.max(LEAST_HALF_BINS, Math.round((WIDTH * frequencyHz) / df));
  const reachHz = Math.max(REACH * dampingRatio * frequencyHz, REACH * df);
  const scores = new Float64Array(bins);
  for (let i = half; i < bins - half; i++) {
    if (Math.abs((firstBin + i) * df - frequencyHz) > reachHz || !(average.density[firstBin + i]! > 0))
      continue;
    const { mean, sd } = excessAt(mode, firstBin + i, half);
    if (mean > LEAST_EXCESS) scores[i] = mean / sd;
  }
  const peaks = [...scores.keys()].filter(
    (i) => scores[i]! > LEAST_SD && scores[i]! >= (scores[i - 1] ?? 0) && scores[i]! > (scores[i + 1] ?? 0),
  );
  return peaks
    .sort((a, b) => scores[b]! - scores[a]!)
    .map((i) => ({
      frequencyHz: (firstBin + i) * df,
      dampingRatio: WIDTH,
      gain: Math.max(0.5, average.density[firstBin + i]! / Math.exp(fit.theta[0]!) - 1),
      searchP: mode.searchP,
    }));
}
