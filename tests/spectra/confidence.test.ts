import { describe, expect, it } from "vitest";
import { edof, medianEdof } from "../../src/spectra/edof.js";
import { chiSquareFactors, noisePeakRatio } from "../../src/spectra/interval.js";
import { welch } from "../../src/spectra/welch.js";
import { hann, type WindowName, windowOf } from "../../src/spectra/window.js";
import { expectClose, parkMiller, vector } from "../vectors/vector.js";

const startsOf = (count: number, hop: number): number[] => Array.from({ length: count }, (_, i) => i * hop);

interface Row {
  window: string;
  overlap: number;
  K: number;
  edof: number;
  ci95_lower_factor: number;
  ci95_upper_factor: number;
}

describe("edof(window, starts)", () => {
  it("agrees with Percival & Walden 1993 eq. 292b, evaluated by NumPy 1.24.2, for 5 windows, 2 overlaps, 8 counts", () => {
    const { rows } = vector<{ rows: Row[] }>("welch_edof");
    const names: Record<string, WindowName> = { blackmanharris: "blackmanHarris", flattop: "flatTop" };
    expect(rows.length).toBe(80);
    for (const row of rows) {
      const window = windowOf(names[row.window] ?? (row.window as WindowName), 1024);
      const dof = edof(window, startsOf(row.K, 1024 * (1 - row.overlap)));
      expectClose([dof, ...chiSquareFactors(dof)], [row.edof, row.ci95_lower_factor, row.ci95_upper_factor]);
    }
  });

  // S. Gille, lecture notes SIOC 221A, lecture 11, table: degrees of freedom per segment, 50 % overlap, long record
  it.each([
    ["boxcar", 4 / 3],
    ["hann", 36 / 19],
    ["hamming", 1.8],
  ] as const)(
    "%s at 50 %% overlap has %f degrees of freedom per segment in the long run",
    (name, published) => {
      expect(edof(windowOf(name, 256), startsOf(2000, 128)) / 2000).toBeCloseTo(published, 2);
    },
  );

  it("is 36 K² / (19 K − 1) for Hann and 4 K² / (3 K − 1) for boxcar at 50 % (algebra from eq. 292b)", () => {
    for (const k of [1, 2, 8, 32, 128]) {
      expect(edof(hann(1024), startsOf(k, 512))).toBeCloseTo((36 * k * k) / (19 * k - 1), 9);
      expect(edof(windowOf("boxcar", 1024), startsOf(k, 512))).toBeCloseTo((4 * k * k) / (3 * k - 1), 9);
    }
  });

  it("gains little from 75 % overlap: 133.54 for 128 Hann segments", () => {
    expect(edof(hann(1024), startsOf(128, 256))).toBeCloseTo(133.54, 2);
  });

  it("takes a gap for what it is: two runs count as two independent records", () => {
    const run = startsOf(8, 512);
    const both = [...run, ...run.map((s) => s + 100_000)];
    expect(edof(hann(1024), both)).toBeCloseTo(2 * edof(hann(1024), run), 9);
    expect(edof(hann(1024), [])).toBe(0);
  });

  // P. D. Welch, IEEE Trans. AU-15(2), 1967 (from memory): at 50 % overlap the variance is 11/9 of 1/K for his
  // taper; the parabola itself gives 1.236
  it("gives Welch's own 11/9 for a parabolic taper within 2 %", () => {
    const parabola = Float64Array.from({ length: 1024 }, (_, n) => 1 - ((n - 511.5) / 512.5) ** 2);
    const dof = edof(parabola, startsOf(2000, 512));
    expect(Math.abs(4000 / dof / (11 / 9) - 1)).toBeLessThan(0.02);
  });
});

describe("chiSquareFactors(edof)", () => {
  // chi-square quantiles by R 4.2.2 qchisq
  it.each([
    [2, 0.27109, 39.498],
    [10, 0.48821, 3.0798],
    [15.2583, 0.54807, 2.3738],
    [20, 0.58532, 2.0853],
    [30, 0.63858, 1.7867],
    [100, 0.77184, 1.3473],
  ])("for %f degrees of freedom is %f and %f", (dof, low, high) => {
    expect(chiSquareFactors(dof)[0]).toBeCloseTo(low, 5);
    expect(Math.abs(chiSquareFactors(dof)[1] / high - 1)).toBeLessThan(2e-5);
  });

  it("knows nothing without a degree of freedom", () => {
    expect(chiSquareFactors(0)).toEqual([0, Infinity]);
  });

  it("makes intervals of welch that hold the true density of white noise in 95 % of the inner bins", () => {
    let [inside, bins] = [0, 0];
    for (let seed = 1; seed <= 40; seed++) {
      const noise = parkMiller(4096, seed * 7919 + 17);
      const { lower, upper } = welch(noise, { sampleRate: 1, segmentLength: 256 });
      for (let k = 2; k < 127; k++) {
        bins++;
        if (lower[k]! <= 1 / 6 && upper[k]! >= 1 / 6) inside++;
      }
    }
    expect(Math.abs(inside / bins - 0.95)).toBeLessThan(0.015);
  });
});

describe("medianEdof(edof)", () => {
  it("tells the spread of median-averaged spectra of white noise within 15 %", () => {
    const densities: number[] = [];
    let dof = 0;
    for (let seed = 1; seed <= 60; seed++) {
      const options = { sampleRate: 1, segmentLength: 64, overlap: 0, average: "median" } as const;
      const spectrum = welch(parkMiller(64 * 40, seed * 104_729), options);
      dof = spectrum.edof;
      densities.push(...spectrum.density.subarray(2, -2).map((p) => p * 6));
    }
    const mean = densities.reduce((sum, p) => sum + p, 0) / densities.length;
    const variance = densities.reduce((sum, p) => sum + (p - mean) ** 2, 0) / densities.length;
    expect(mean).toBeCloseTo(1, 1);
    expect(Math.abs(2 / variance / dof - 1)).toBeLessThan(0.15);
    expect(medianEdof(80)).toBeCloseTo(80 * Math.LN2 ** 2, 12);
  });
});

describe("noisePeakRatio(edof, bins, alpha)", () => {
  it("is χ²((1 − α)^(1/M); ν) / ν, as SciPy 1.10.1 gives it", () => {
    const { spectral_peak_threshold_single_bin: rows } = vector<{
      spectral_peak_threshold_single_bin: { nu: number; M_bins: number; alpha: number; ratio: number }[];
    }>("statistics");
    expectClose(
      rows.map((row) => noisePeakRatio(row.nu, row.M_bins, row.alpha)),
      rows.map((row) => row.ratio),
    );
  });
});
