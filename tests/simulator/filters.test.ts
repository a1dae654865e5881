import { describe, expect, test } from "vitest";
import { chainDelayS, filterInPlace, section } from "../../simulator/filters.js";
import type { FilterSpec } from "../../simulator/scenario.js";
import { simulateFlight } from "../../simulator/simulate.js";
import { stillCraft } from "./still-craft.js";

const CHAIN: FilterSpec[] = [
  { type: "lowpass2", cutoffHz: 80 },
  { type: "lowpass1", cutoffHz: 150 },
  { type: "notch", centreHz: 200, q: 5 },
];

describe("section(spec, rate)", () => {
  // R. Bristow-Johnson, Audio EQ Cookbook (W3C Note, 2021); numbers by SciPy 1.10.1 butter(2, 150, fs=4000).
  test("gives the cookbook's low-pass, equal to a Butterworth", () => {
    const { b, a } = section({ type: "lowpass2", cutoffHz: 150 }, 4000);
    expect(b[0]).toBeCloseTo(0.0118576826432, 12);
    expect(a[0]).toBeCloseTo(-1.66920314293, 10);
    expect(a[1]).toBeCloseTo(0.716633873504, 11);
  });
});

describe("chainDelayS(specs, rate)", () => {
  test("gives the Butterworth's delay at zero frequency: 5.97431502894 samples (SciPy group_delay)", () => {
    expect(chainDelayS([{ type: "lowpass2", cutoffHz: 150 }], 4000) * 4000).toBeCloseTo(5.97431502894, 8);
  });

  test("gives the cookbook notch's: cot(ω0/2) / (2Q)... 0.63138 samples at 200 Hz, Q 5", () => {
    expect(chainDelayS([{ type: "notch", centreHz: 200, q: 5 }], 4000) * 4000).toBeCloseTo(0.63138, 5);
  });

  test("is the lag of a ramp that has run through the filters", () => {
    const rate = 4000;
    const x = Float64Array.from({ length: 8000 }, (_, i) => i / rate);
    const ramp = x.slice();
    for (const spec of CHAIN) filterInPlace(ramp, section(spec, rate));
    expect(x[7999]! - ramp[7999]!).toBeCloseTo(chainDelayS(CHAIN, rate), 9);
  });
});

describe("simulateFlight(scenario).truth.chain", () => {
  const { timeline, truth } = simulateFlight(
    stillCraft({
      logRateHz: 1000,
      flight: { motionDps: 200 },
      wash: { density: 1e-5 },
      sensor: { density: 0, quantumDps: 0 },
      chain: { gyro: CHAIN, dterm: [{ type: "lowpass1", cutoffHz: 60 }], kd: 0.02 },
    }),
  );
  const raw = timeline.gyroRaw.roll!;
  const filtered = timeline.gyroFiltered.roll!;

  /** Delay of b against a from slow motion: regression of a - b on da/dt. */
  const delayOf = (a: ArrayLike<number>, b: ArrayLike<number>): number => {
    let xy = 0;
    let xx = 0;
    for (let i = 1; i + 1 < a.length; i++) {
      const slope = ((a[i + 1]! - a[i - 1]!) / 2) * 1000;
      xy += (a[i]! - b[i]!) * slope;
      xx += slope * slope;
    }
    return xy / xx;
  };

  test("holds the delay by which the logged filtered gyro trails the raw one", () => {
    expect(Math.abs(delayOf(raw, filtered) - truth.chain.gyroDelayS)).toBeLessThan(2e-5);
  });

  test("holds the delay of the D-term, and D = -kd · d(filtered)/dt", () => {
    const slope = filtered.map(
      (v, i) => (((filtered[i + 1] ?? v) - (filtered[i - 1] ?? v)) / 2) * 1000 * -0.02,
    );
    const dterm = timeline.dterm.roll!;
    expect(Math.abs(delayOf(slope, dterm) - truth.chain.dtermDelayS)).toBeLessThan(1e-4);
  });

  test("logs no D-term on yaw unless asked", () => {
    expect(timeline.dterm.yaw).toBeNull();
  });
});
