import type { Fit } from "./fit-modes.js";
import { BIN_CORRELATION, type FixedAverage, SHAPE_PER_FRAME, type SpeedClass } from "./masked-average.js";
import { evaluateModel, FLOOR_PARAMETERS, PARAMETERS_PER_MODE } from "./mode-model.js";

/** Is the peak there at every rotor speed? Share of its height kept in each speed class, with its standard deviation. */
export interface Persistence {
  /** One entry per class; null where too few cells are free. */
  readonly classes: readonly ({ readonly kept: number; readonly sd: number } | null)[];
  /** Classes that speak for and against a fixed mode. */
  readonly inFavour: number;
  readonly against: number;
}

/** A class whose kept share is less certain than this says nothing. */
const MOST_SD = 0.35;
const HALF_KEPT = 0.5;
/** One-sided 95 %. */
const ONE_SIDED = 1.64;

/** Whether less than half of a peak's height is kept, surely. */
export function surelyLost({ kept, sd }: { readonly kept: number; readonly sd: number }): boolean {
  return kept + ONE_SIDED * sd < HALF_KEPT;
}

/** The fitted model with and without mode j, densities per bin of the fit's window. */
function modelWithAndWithout(fit: Fit, j: number): { full: Float64Array; without: Float64Array } {
  evaluateModel(fit.window, fit.theta);
  const full = fit.window.logModel.map(Math.exp);
  const theta = fit.theta.slice();
  theta[FLOOR_PARAMETERS + PARAMETERS_PER_MODE * j + 2] = -40;
  theta[FLOOR_PARAMETERS + PARAMETERS_PER_MODE * j + 3] = 0;
  evaluateModel(fit.window, theta);
  return { full, without: fit.window.logModel.map(Math.exp) };
}

/** Frame-weighted means over bins at a distance from…to (Hz) of a frequency. */
function ringMean(
  speed: SpeedClass,
  shape: { full: Float64Array; without: Float64Array },
  fit: Fit,
  ring: { at: number; from: number; to: number },
): { ratio: number; ratioWithout: number; cells: number } {
  const { firstBin, bins, df } = fit.window;
  let weight = 0;
  let ratio = 0;
  let ratioWithout = 0;
  for (let i = 0; i < bins; i++) {
    const distance = Math.abs((firstBin + i) * df - ring.at);
    const n = speed.frames[firstBin + i] ?? 0;
    if (distance < ring.from || distance >= ring.to || n === 0) continue;
    weight += n;
    ratio += (n * speed.density[firstBin + i]!) / shape.full[i]!;
    ratioWithout += (n * shape.without[i]!) / shape.full[i]!;
  }
  return { ratio: ratio / weight, ratioWithout: ratioWithout / weight, cells: weight * SHAPE_PER_FRAME };
}

/**
 * Compares the peak's core with its skirts in each class of rotor speed. A fixed mode keeps its height over the
 * skirts at all speeds (kept ≈ 1); a line that moves is there in one class only (kept ≈ 0 in the others).
 *
 * kept = 1 − ln ρ / ln ρ0, ρ = (mean S/M in the core) / (mean S/M in the skirts), ρ0 the same of the model without
 * the mode; sd = √(1.94/n_core + 1.94/n_skirt) / |ln ρ0|.
 *
 * @see method note, measured on simulated flights
 */
export function persistence(average: FixedAverage, fit: Fit, j: number): Persistence {
  const mode = fit.modes[j]!;
  const width = mode.dampingRatio * mode.frequencyHz;
  const models = modelWithAndWithout(fit, j);
  const core = { at: mode.frequencyHz, from: 0, to: Math.max(width, 1.5 * average.df) };
  const skirt = {
    at: mode.frequencyHz,
    from: Math.max(2 * width, 3 * average.df),
    to: Math.max(7 * width, 9 * average.df),
  };
  const classes = average.classes.map((speed) => {
    const inner = ringMean(speed, models, fit, core);
    const outer = ringMean(speed, models, fit, skirt);
    const rho0 = Math.log(inner.ratioWithout / outer.ratioWithout);
    const kept = 1 - Math.log(inner.ratio / outer.ratio) / rho0;
    const sd = Math.sqrt(BIN_CORRELATION / inner.cells + BIN_CORRELATION / outer.cells) / Math.abs(rho0);
    return Number.isFinite(kept) && sd < MOST_SD ? { kept, sd } : null;
  });
  const told = classes.filter((c) => c !== null);
  return {
    classes,
    against: told.filter(surelyLost).length,
    inFavour: told.filter((c) => c.kept > 0.45 && c.kept > 2 * c.sd).length,
  };
}
