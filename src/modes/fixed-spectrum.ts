import { chiSquareQuantile } from "../stats/chi-square-quantile.js";
import { AXES, type PerAxis } from "../units.js";
import type { AxisMode } from "./axis-mode.js";
import type { Scan } from "./candidates.js";
import type { FixedAverage } from "./masked-average.js";
import type { FixedSpectrum } from "./mode.js";
import { evaluateModel } from "./mode-model.js";
import type { ResolutionBank } from "./resolution-bank.js";

/** Density with its 95 % chi-square interval: twice the gamma shape in degrees of freedom. */
function interval(average: FixedAverage): { lower: Float64Array; upper: Float64Array } {
  const factors = new Map<number, [number, number]>();
  const factorOf = (shape: number): [number, number] => {
    let f = factors.get(shape);
    if (f === undefined) {
      const dof = 2 * shape;
      f = [dof / chiSquareQuantile(0.975, dof), dof / chiSquareQuantile(0.025, dof)];
      factors.set(shape, f);
    }
    return f;
  };
  const at = (i: 0 | 1) =>
    average.density.map((s, b) => (s > 0 ? s * factorOf(average.shape[b]!)[i] : Number.NaN));
  return { lower: at(0), upper: at(1) };
}

/** Draws the fitted windows of one axis on its bins: floor plus modes as fitted, interpolated from finer grids. */
function drawModel(average: FixedAverage, modes: readonly AxisMode[]): Float64Array {
  const model = new Float64Array(average.density.length).fill(Number.NaN);
  for (const mode of modes) {
    evaluateModel(mode.fit.window, mode.fit.theta);
    const { firstBin, bins, df, logModel } = mode.fit.window;
    const ratio = average.df / df;
    for (let b = Math.ceil(firstBin / ratio); b <= Math.floor((firstBin + bins - 1) / ratio); b++) {
      const value = Math.exp(logModel[Math.round(b * ratio) - firstBin]!);
      if (b < model.length) model[b] = Number.isNaN(model[b]!) ? value : Math.max(model[b]!, value);
    }
  }
  return model;
}

/** What stays put, per axis, for drawing and for the quiet band. */
export function fixedSpectrum(
  bank: ResolutionBank,
  scans: readonly Scan[],
  modes: readonly AxisMode[],
): PerAxis<FixedSpectrum | null> {
  const made = bank.averages.map((average, axis): FixedSpectrum => {
    return {
      frequency: average.density.map((_, b) => b * average.df),
      density: average.density,
      ...interval(average),
      frames: average.frames,
      model: drawModel(
        average,
        modes.filter((m) => m.axis === axis),
      ),
      floor: scans[axis]!.floor.level.map(Math.exp),
    };
  });
  const entries = AXES.map((axis) => [axis, made[bank.axes.indexOf(axis)] ?? null]);
  return Object.fromEntries(entries) as PerAxis<FixedSpectrum | null>;
}
