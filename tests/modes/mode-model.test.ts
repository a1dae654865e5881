import { describe, expect, it } from "vitest";
import { hannKernel } from "../../src/modes/hann-kernel.js";
import { evaluateModel, modelWindow, type Role } from "../../src/modes/mode-model.js";
import { modeTheta } from "./noise.js";

const PLACE = { firstBin: 60, bins: 90, df: 0.5, centreHz: 52, narrowestHz: 0 };

describe("hannKernel(steps)", () => {
  it("is 1/6, 2/3, 1/6 at whole bins, the squared Hann amplitudes 1/4, 1/2, 1/4", () => {
    expect([...hannKernel(1)].map((w) => Number(w.toFixed(12)))).toEqual(
      [0, 1 / 6, 2 / 3, 1 / 6, 0].map((w) => Number(w.toFixed(12))),
    );
  });

  it("sums to 1 and is symmetric at every fineness", () => {
    for (const steps of [1, 2, 4]) {
      const k = hannKernel(steps);
      expect(k.reduce((s, w) => s + w, 0)).toBeCloseTo(1, 12);
      for (const [i, w] of k.entries()) expect(w).toBeCloseTo(k[k.length - 1 - i]!, 12);
    }
  });
});

describe("evaluateModel(window, theta)", () => {
  it("of a wide mode is floor · (1 + A) at its frequency and floor · (1 + A/2) at its half-power points", () => {
    const window = modelWindow({ ...PLACE, narrowestHz: 5 }, ["free"]);
    const [f, zeta, gain] = [50, 0.05, 9];
    evaluateModel(window, Float64Array.from([Math.log(2), 0, ...modeTheta(f, zeta, gain)]));
    const at = (hz: number): number => Math.exp(window.logModel[Math.round(hz / 0.5) - 60]!);
    expect(at(50)).toBeCloseTo(2 * (1 + gain), 0);
    // velocity response: f2 − f1 = 2ζf exactly (Thomson, sec. 3.10 with r = √(1 + ζ²) ± ζ)
    expect(at(52.5)).toBeCloseTo(2 * (1 + gain / 2), 0);
  });

  it("has derivatives equal to central differences, for two modes that lean and a sloping floor", () => {
    const theta = Float64Array.from([
      0.3,
      -1.2,
      ...modeTheta(47, 0.01, 8, 0.7),
      ...modeTheta(55, 0.02, 3, -0.4),
    ]);
    const window = modelWindow(PLACE, ["free", "free"]);
    evaluateModel(window, theta);
    const jacobian = window.jacobian.slice();
    // the level around a mode is held within one evaluation: with one mode's gain tiny the derivatives are exact
    theta.forEach((_, p) => {
      if (p >= 2 && (p - 2) % 4 !== 3) return;
      const h = 1e-5;
      const at = (d: number): Float64Array => {
        const moved = theta.slice();
        moved[p]! += d;
        evaluateModel(window, moved);
        return window.logModel.slice();
      };
      const [up, down] = [at(h), at(-h)];
      for (let b = 0; b < PLACE.bins; b++) {
        expect(jacobian[p * PLACE.bins + b]).toBeCloseTo((up[b]! - down[b]!) / (2 * h), 5);
      }
    });
  });

  it("has exact derivatives in f, ζ and A for a lone mode", () => {
    const theta = Float64Array.from([0, 0.5, ...modeTheta(52, 0.012, 6, 0.5)]);
    const window = modelWindow(PLACE, ["free"]);
    evaluateModel(window, theta);
    const jacobian = window.jacobian.slice();
    for (let p = 0; p < theta.length; p++) {
      const at = (d: number): Float64Array => {
        const moved = theta.slice();
        moved[p]! += d;
        evaluateModel(window, moved);
        return window.logModel.slice();
      };
      const [up, down] = [at(1e-6), at(-1e-6)];
      for (let b = 0; b < PLACE.bins; b++) {
        expect(jacobian[p * PLACE.bins + b]).toBeCloseTo((up[b]! - down[b]!) / 2e-6, 4);
      }
    }
  });
});

describe("evaluateModel(window, theta) with a mode centred outside the window", () => {
  it("multiplies what stands in the window: its dip cuts through the skirt as through the floor", () => {
    const inside = modeTheta(52, 0.012, 30, 2);
    const skirt = modeTheta(90, 0.02, 80, -1.2);
    const at = (roles: Role[], theta: number[]): Float64Array => {
      const window = modelWindow({ ...PLACE, narrowestHz: 20 }, roles);
      evaluateModel(window, Float64Array.from(theta));
      return window.logModel.slice();
    };
    const both = at(["free", "skirt"], [0, 0, ...inside, ...skirt]);
    const lone = at(["free"], [0, 0, ...inside]);
    const other = at(["skirt"], [0, 0, ...skirt]);
    for (let b = 0; b < PLACE.bins; b++) expect(both[b]).toBeCloseTo(lone[b]! + other[b]!, 0);
  });
});
