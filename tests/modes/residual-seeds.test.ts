import { expect, it } from "vitest";
import type { AxisMode } from "../../src/modes/axis-mode.js";
import { fitModes, fitWindow } from "../../src/modes/fit-modes.js";
import type { FixedAverage } from "../../src/modes/masked-average.js";
import { residualSeeds } from "../../src/modes/residual-seeds.js";
import { modeTheta, noisyModel } from "./noise.js";

const PLACE = { bins: 300, df: 1, frames: 80, seed: 4 };

/** One mode fitted to a spectrum, as accepted on an axis. */
function fitted(average: FixedAverage): AxisMode {
  const start = { frequencyHz: 110, dampingRatio: 0.012, gain: 12, lean: 0, reachHz: 4, held: false };
  const fit = fitModes(average, fitWindow(110, 0.012, 1), [start], 0)!;
  return {
    ...fit.modes[0]!,
    axis: 0,
    searchP: 1e-9,
    misfit: fit.misfit,
    fit,
    average,
  } as unknown as AxisMode;
}

const lone = [0, 0, ...modeTheta(110, 0.012, 12, 0)];
const pair = [...lone, ...modeTheta(116, 0.008, 9, 0)];

it("residualSeeds names the place of a second mode that a fit of one leaves unexplained", () => {
  const [seed] = residualSeeds(fitted(noisyModel(pair, PLACE)));
  expect(Math.abs(seed!.frequencyHz - 116)).toBeLessThanOrEqual(1);
});

it("residualSeeds names nothing where the fit explains its window", () => {
  expect(residualSeeds(fitted(noisyModel(lone, PLACE)))).toEqual([]);
});

it.each([113, 114, 115, 116, 117, 118])(
  "residualSeeds gives every seed a height, though lines hide bin %i",
  (hidden) => {
    const average = noisyModel(pair, PLACE);
    average.density[hidden] = Number.NaN;
    const seeds = residualSeeds(fitted(average));
    expect(seeds.length).toBeGreaterThan(0);
    expect(seeds.every((s) => s.gain > 0)).toBe(true);
  },
);
