import { describe, expect, it } from "vitest";
import {
  dampingFromDecrement,
  halfPowerRatios,
  logDecrement,
  type Motion,
  peakRatio,
  transmissibility,
  transmissibilityPeakRatio,
} from "../../src/spectra/sdof.js";
import { welch } from "../../src/spectra/welch.js";
import { expectClose, parkMiller, vector } from "../vectors/vector.js";

interface HalfPower {
  zeta: number;
  disp_peak_r: number;
  disp_r1: number | null;
  disp_r2: number | null;
  mob_r1: number;
  mob_r2: number;
  acc_peak_r: number;
  acc_r1: number | null;
  acc_r2: number | null;
}
const sdof = vector<{
  half_power: HalfPower[];
  transmissibility: {
    zeta: number;
    r_peak: number;
    T_peak: number;
    T_at_sqrt2: number;
    T_at_2: number;
    T_at_3: number;
  }[];
  log_decrement: { zeta: number; delta: number; ratio: number }[];
}>("sdof");

describe("halfPowerRatios(ζ, motion): W. T. Thomson, Theory of Vibration with Applications, section 3.10, p. 78", () => {
  it("agrees with the closed forms evaluated by NumPy 1.24.2 for ζ from 0.005 to 0.3", () => {
    for (const row of sdof.half_power) {
      expectClose(halfPowerRatios(row.zeta, "velocity"), [row.mob_r1, row.mob_r2]);
      expectClose(
        [peakRatio(row.zeta, "displacement"), peakRatio(row.zeta, "acceleration")],
        [row.disp_peak_r, row.acc_peak_r],
      );
      if (row.disp_r1 !== null) {
        expectClose(halfPowerRatios(row.zeta, "displacement"), [row.disp_r1, row.disp_r2!]);
        expectClose(halfPowerRatios(row.zeta, "acceleration"), [row.acc_r1!, row.acc_r2!]);
      }
    }
  });

  it("points are where the response really is half its peak", () => {
    const power: Record<Motion, (r: number, z: number) => number> = {
      displacement: (r, z) => 1 / ((1 - r * r) ** 2 + (2 * z * r) ** 2),
      velocity: (r, z) => r ** 2 / ((1 - r * r) ** 2 + (2 * z * r) ** 2),
      acceleration: (r, z) => r ** 4 / ((1 - r * r) ** 2 + (2 * z * r) ** 2),
    };
    // Displacement and acceleration: Thomson's points are half of Q² / (1 − ζ²), the peak's exact height
    for (const motion of ["displacement", "velocity", "acceleration"] as const) {
      const peak = power[motion](peakRatio(0.1, motion), 0.1);
      for (const r of halfPowerRatios(0.1, motion)) expect(power[motion](r, 0.1) / peak).toBeCloseTo(0.5, 12);
    }
  });

  const widthError = (zeta: number, motion: Motion): number => {
    const [low, high] = halfPowerRatios(zeta, motion);
    return 100 * ((high - low) / (2 * peakRatio(zeta, motion)) / zeta - 1);
  };
  it("reads displacement damping too high: +0.02, 0.50, 2.06, 9.13, 25.6 % at ζ 0.01, 0.05, 0.1, 0.2, 0.3", () => {
    const errors = [0.01, 0.05, 0.1, 0.2, 0.3].map((z) => widthError(z, "displacement"));
    [0.02, 0.5, 2.06, 9.13, 25.6].forEach((value, i) => {
      expect(Math.abs(errors[i]! - value)).toBeLessThan(i === 4 ? 0.05 : 0.005);
    });
  });

  it("reads acceleration damping higher still: +1.01, 4.23, 20.6, 75.4 % at ζ 0.05, 0.1, 0.2, 0.3", () => {
    const errors = [0.05, 0.1, 0.2, 0.3].map((z) => widthError(z, "acceleration"));
    [1.01, 4.23, 20.6, 75.4].forEach((value, i) => {
      expect(Math.abs(errors[i]! - value)).toBeLessThan(i < 2 ? 0.005 : 0.05);
    });
  });

  it("is exact for velocity (what a gyro sees): f2 − f1 = 2ζ f_n, f1 f2 = f_n²", () => {
    for (const zeta of [0.001, 0.02, 0.1, 0.3, 0.7]) {
      const [low, high] = halfPowerRatios(zeta, "velocity");
      expect(high - low).toBeCloseTo(2 * zeta, 12);
      expect(high * low).toBeCloseTo(1, 12);
    }
  });
});

describe("transmissibility(r, ζ) and its peak: K. Ogata, System Dynamics", () => {
  it("agrees with the closed forms in double precision", () => {
    for (const row of sdof.transmissibility) {
      const peak = transmissibilityPeakRatio(row.zeta);
      expectClose(
        [
          peak,
          transmissibility(peak, row.zeta),
          transmissibility(2, row.zeta),
          transmissibility(3, row.zeta),
        ],
        [row.r_peak, row.T_peak, row.T_at_2, row.T_at_3],
      );
      expect(transmissibility(Math.SQRT2, row.zeta)).toBeCloseTo(1, 12);
    }
  });

  it("does not lose digits at ζ = 0.005, where the single formula gives 100.0006: 100.0063", () => {
    expect(transmissibility(transmissibilityPeakRatio(0.005), 0.005)).toBeCloseTo(100.00625, 5);
  });
});

describe("logDecrement(ζ) and dampingFromDecrement(δ): Thomson, eqs 2.7-3 and 2.7-4", () => {
  it("agree with the closed forms and undo each other", () => {
    for (const row of sdof.log_decrement) {
      expectClose([logDecrement(row.zeta), Math.exp(logDecrement(row.zeta))], [row.delta, row.ratio]);
      expect(dampingFromDecrement(row.delta)).toBeCloseTo(row.zeta, 12);
    }
  });

  it("gives example 2.7-1, p. 34: w = 10 lb, k = 30 lb/in, c = 0.12 lb·s/in: ζ 0.0681, δ 0.429", () => {
    const mass = 10 / 386;
    const zeta = 0.12 / (2 * Math.sqrt(30 * mass));
    expect(Math.sqrt(30 / mass)).toBeCloseTo(34.0, 1);
    expect(zeta).toBeCloseTo(0.0681, 4);
    expect(logDecrement(zeta)).toBeCloseTo(0.429, 3);
  });

  it("gives Rao's shock absorber: amplitude to a quarter in half a cycle is δ 2.7726, ζ 0.4037", () => {
    const decrement = 2 * Math.log(4);
    expect(decrement).toBeCloseTo(2.7726, 4);
    expect(dampingFromDecrement(decrement)).toBeCloseTo(0.4037, 4);
  });
});

describe("welch of a resonance driven by known noise (87.5 Hz, ζ 0.02, 60 s)", () => {
  interface Response {
    N: number;
    fs: number;
    a1: number;
    a2: number;
    y_first8: number[];
    y_last4: number[];
    variance: number;
    f: number[];
    Pyy: number[];
    true_psd: number[];
  }
  const r = vector<Response>("sdof_noise_response");
  const y = parkMiller(r.N, 2024);
  for (let n = 0; n < r.N; n++) y[n] = y[n]! + r.a1 * (y[n - 1] ?? 0) + r.a2 * (y[n - 2] ?? 0);
  const spectrum = welch(y, { sampleRate: r.fs, segmentLength: 4096 });
  const band = [...spectrum.frequency.keys()].filter(
    (k) => spectrum.frequency[k]! >= 80 && spectrum.frequency[k]! <= 95,
  );
  const pick = (values: Float64Array): number[] => band.map((k) => values[k]!);

  it("agrees with SciPy 1.10.1 between 80 and 95 Hz, and so does the series' variance", () => {
    expectClose([...y.subarray(0, 8), ...y.subarray(-4)], [...r.y_first8, ...r.y_last4]);
    expectClose(pick(spectrum.frequency), r.f);
    expectClose(pick(spectrum.density), r.Pyy);
    const mean = y.reduce((sum, v) => sum + v, 0) / r.N;
    expect(y.reduce((sum, v) => sum + (v - mean) ** 2, 0) / r.N).toBeCloseTo(r.variance, 9);
  });

  it("has intervals that hold the true density in most of these bins", () => {
    const [lower, upper] = [pick(spectrum.lower), pick(spectrum.upper)];
    const inside = r.true_psd.filter((p, i) => lower[i]! <= p && p <= upper[i]!).length;
    expect(inside / r.true_psd.length).toBeGreaterThan(0.85);
  });

  it("negative control: half-power read on the raw bins gives ζ 0.0137, a third too low", () => {
    const [f, p] = [r.f, pick(spectrum.density)];
    const top = p.indexOf(Math.max(...p));
    const half = p[top]! / 2;
    const cross = (step: 1 | -1): number => {
      let i = top;
      while (p[i]! > half) i += step;
      return f[i]! + ((half - p[i]!) / (p[i - step]! - p[i]!)) * (f[i - step]! - f[i]!);
    };
    expect((cross(1) - cross(-1)) / (2 * f[top]!)).toBeCloseTo(0.013748, 5);
  });
});
