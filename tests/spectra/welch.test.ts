import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { coherence, coherenceThreshold, frequencyResponse } from "../../src/spectra/coherence.js";
import { crossSpectrum } from "../../src/spectra/cross-spectrum.js";
import { frameGrid, frameTimes } from "../../src/spectra/frame-grid.js";
import { shortTimeSpectrum } from "../../src/spectra/short-time.js";
import { medianBias, type WelchOptions, welch } from "../../src/spectra/welch.js";
import { coherentGain, WINDOW_NAMES, type WindowName, windowOf } from "../../src/spectra/window.js";
import { ABSOLUTE, expectClose, parkMiller, vector } from "../vectors/vector.js";

interface Case {
  command: string;
  f: number[];
  P: number[] | { re: number[]; im: number[] };
  C?: number[];
  t?: number[];
  S_rows_freq?: number[][];
}
const reference = vector<{ x_first8: number[]; y_first8: number[]; cases: Case[] }>("welch");

const FS = 1000;
const COUNT = 320;
const u = parkMiller(COUNT, 12345);
const v = parkMiller(COUNT, 777);
const turn = (hz: number, n: number): number => (2 * Math.PI * hz * n) / FS;
const x = u.map((e, n) => Math.sin(turn(93.75, n)) + 0.5 * Math.sin(turn(201.3, n) + 0.7) + 0.01 * n + e);
const y = v.map((e, n) => 0.8 * Math.sin(turn(93.75, n) - 0.9) + 0.3 * Math.cos(turn(310, n)) + e);

const base = { sampleRate: FS, segmentLength: 64 } as const;
const caseOf = (part: string): Case => {
  const found = reference.cases.find(({ command }) => command.includes(part));
  if (!found) throw new Error(`no reference case "${part}"`);
  return found;
};

describe("parkMiller(count, seed)", () => {
  // S. K. Park, K. W. Miller, Comm. ACM 31(10), 1988: the 10 000th state from seed 1 is 1043618065
  it("passes its authors' own check and gives the reference inputs", () => {
    expect(Math.round((parkMiller(10_000, 1)[9_999]! + 0.5) * 2147483647)).toBe(1043618065);
    expectClose(x.subarray(0, 8), reference.x_first8);
    expectClose(y.subarray(0, 8), reference.y_first8);
  });
});

describe("welch(x, options) agrees with SciPy 1.10.1 signal.welch to 1e-9", () => {
  const scipyName: Partial<Record<WindowName, string>> = {
    blackmanHarris: "blackmanharris",
    flatTop: "flattop",
  };
  for (const window of ["hann", "hamming", "blackmanHarris", "flatTop", "boxcar"] as const) {
    for (const scaling of ["density", "spectrum"] as const) {
      it(`${window}, ${scaling}`, () => {
        const name = scipyName[window] ?? window;
        const expected = caseOf(
          `welch(x,fs=1000,window='${name}',nperseg=64,noverlap=32,detrend='constant',scaling='${scaling}')`,
        );
        const actual = welch(x, { ...base, window, scaling });
        expectClose(actual.frequency, expected.f);
        expectClose(actual.density, expected.P as number[]);
      });
    }
  }

  const variants: [string, string, Partial<WelchOptions>][] = [
    [
      "linear detrend, 75 % overlap",
      "nperseg=64,noverlap=48,detrend='linear'",
      { detrend: "linear", overlap: 0.75 },
    ],
    ["no detrend", "detrend=False", { detrend: "none" }],
    ["zero padding to 128", "nfft=128", { nfft: 128 }],
    ["odd length 63, whose last bin is doubled", "nperseg=63", { segmentLength: 63 }],
    ["median with its bias taken off", "average='median'", { average: "median" }],
  ];
  it.each(variants)("%s", (_title, part, options) => {
    const expected = caseOf(part);
    const actual = welch(x, { ...base, ...options });
    expectClose(actual.frequency, expected.f);
    expectClose(actual.density, expected.P as number[]);
  });
});

describe("crossSpectrum and coherence agree with SciPy 1.10.1 signal.csd and signal.coherence", () => {
  const cross = crossSpectrum(x, y, base);
  it("the cross-spectrum is conj(X)·Y", () => {
    const { re, im } = caseOf("signal.csd").P as { re: number[]; im: number[] };
    expectClose(cross.re, re);
    expectClose(cross.im, im, { absolute: ABSOLUTE });
  });

  it("coherence", () => {
    expectClose(coherence(cross), caseOf("signal.coherence").C!);
  });

  it("auto-spectra are those of welch", () => {
    expectClose(cross.xx, welch(x, base).density);
    expectClose(cross.yy, welch(y, base).density);
  });
});

describe("shortTimeSpectrum(x, grid) agrees with SciPy 1.10.1 signal.spectrogram", () => {
  it("frames, times and values, to single precision", () => {
    const expected = caseOf("spectrogram");
    const grid = frameGrid([{ from: 0, to: 160 }], { sampleRate: FS, segmentLength: 32, hop: 16 });
    const { power, bins } = shortTimeSpectrum(x, grid);
    expectClose(frameTimes(grid), expected.t!);
    const byFrame = expected.t!.flatMap((_, frame) => expected.S_rows_freq!.map((row) => row[frame]!));
    expect(bins).toBe(expected.f.length);
    // stored in single precision: 2⁻²⁴ relative
    expectClose(power, byFrame, { relative: 6e-8, absolute: 1e-10 });
  });
});

describe("invariants of welch", () => {
  it("the PSD of one boxcar segment integrates to the variance of the windowed series (Parseval)", () => {
    for (const [window, length] of [
      ["boxcar", 320],
      ["hann", 320],
      ["flatTop", 319],
    ] as const) {
      const { density, frequency } = welch(x, { sampleRate: FS, segmentLength: length, window });
      const weights = windowOf(window, length);
      const mean = x.subarray(0, length).reduce((sum, value) => sum + value, 0) / length;
      let [power, energy] = [0, 0];
      weights.forEach((w, n) => {
        power += ((x[n]! - mean) * w) ** 2;
        energy += w * w;
      });
      const integral = density.reduce((sum, value) => sum + value, 0) * frequency[1]!;
      expect(Math.abs(integral / (power / energy) - 1)).toBeLessThan(1e-12);
    }
  });

  it("a sine at a bin centre reads its mean square A²/2 for every window", () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...WINDOW_NAMES),
        fc.integer({ min: 24, max: 104 }),
        fc.double({ min: 1e-3, max: 1e3, noNaN: true }),
        fc.double({ min: 0, max: 6, noNaN: true }),
        (window, bin, amplitude, phase) => {
          const sine = Float64Array.from(
            { length: 512 },
            (_, n) => amplitude * Math.cos((2 * Math.PI * bin * n) / 256 + phase),
          );
          const { density } = welch(sine, { sampleRate: 1, segmentLength: 256, window, scaling: "spectrum" });
          expect(Math.abs(density[bin]! / (amplitude ** 2 / 2) - 1)).toBeLessThan(1e-6);
        },
      ),
    );
  });

  it("densities are never negative, and the coherence of a series with itself is 1", () => {
    const series = fc.array(fc.double({ min: -1e6, max: 1e6, noNaN: true }), {
      minLength: 32,
      maxLength: 128,
    });
    fc.assert(
      fc.property(series, (list) => {
        const values = Float64Array.from(list);
        const options = { sampleRate: 10, segmentLength: 16 };
        expect(welch(values, options).density.every((p) => p >= 0)).toBe(true);
        for (const value of coherence(crossSpectrum(values, values, options))) {
          if (!Number.isNaN(value)) expect(Math.abs(value - 1)).toBeLessThan(1e-9);
        }
      }),
    );
  });

  it("spectrum over density is ENBW · fs / N, 3.662109375 Hz for Hann 4096 at 10 kHz", () => {
    // G. Heinzel, A. Rüdiger, R. Schilling 2002, section 9 (definition)
    const noise = parkMiller(8192, 3);
    const options = { sampleRate: 10_000, segmentLength: 4096 };
    const density = welch(noise, options);
    const power = welch(noise, { ...options, scaling: "spectrum" });
    expect(density.resolution).toBeCloseTo(3.662109375, 9);
    expectClose(
      power.density,
      density.density.map((value) => value * 3.662109375),
    );
  });

  it("reads single precision like double precision of the same values", () => {
    const single = Float32Array.from(x);
    expectClose(welch(single, base).density, welch(Float64Array.from(single), base).density);
  });
});

describe("welch with spans and valid", () => {
  it("never touches an invalid sample: a poisoned gap leaves the density finite", () => {
    const poisoned = Float64Array.from(x);
    const valid = new Uint8Array(COUNT).fill(1);
    for (const n of [100, 101, 200]) {
      poisoned[n] = Number.NaN;
      valid[n] = 0;
    }
    const result = welch(poisoned, { ...base, segmentLength: 32, valid });
    expect(result.averages).toBe(5 + 5 + 6);
    expect(result.density.every(Number.isFinite)).toBe(true);
    expect(welch(poisoned, { ...base, segmentLength: 32 }).density.every(Number.isFinite)).toBe(false);
  });

  it("keeps inside its spans", () => {
    const spans = [
      { from: 0, to: 64 },
      { from: 128, to: 192 },
    ];
    const only = Float64Array.from(x, (value, n) => (n < 64 || (n >= 128 && n < 192) ? value : Number.NaN));
    const parts = spans.map(({ from, to }) => welch(x.subarray(from, to), base).density);
    expectClose(
      welch(only, { ...base, spans }).density,
      parts[0]!.map((p, k) => (p + parts[1]![k]!) / 2),
    );
  });

  it("says so when no segment fits: no averages, no density, an endless interval", () => {
    const none = welch(x.subarray(0, 10), base);
    expect([none.averages, none.edof]).toEqual([0, 0]);
    expect(none.density.every(Number.isNaN)).toBe(true);
  });

  it("refuses lengths, overlaps and windows that make no sense", () => {
    expect(() => welch(x, { ...base, segmentLength: 0 })).toThrow(RangeError);
    expect(() => welch(x, { ...base, overlap: 1 })).toThrow(RangeError);
    expect(() => welch(x, { ...base, nfft: 32 })).toThrow(RangeError);
    expect(() => welch(x, { ...base, window: windowOf("hann", 32) })).toThrow(RangeError);
    expect(() => crossSpectrum(x, y.subarray(1), base)).toThrow(RangeError);
  });
});

describe("the signal of Heinzel, Rüdiger and Schilling 2002, section 13: two sines, rounded to 1 mV", () => {
  interface Row {
    window: string;
    peak1_Vrms: number;
    peak2_Vrms: number;
    floor_rms_density_3000_4900: number;
    floor_median_density_3000_4900: number;
  }
  const expected = vector<{ rows: Row[]; first8: number[] }>("two_sine_digitised");
  const rate = 1e4;
  const signal = Float64Array.from({ length: 1_000_000 }, (_, i) => {
    const t = i / rate;
    const volts = 2.82842712474619 * Math.sin(2 * Math.PI * 1234 * t) + Math.sin(2 * Math.PI * 2500.2157 * t);
    return Math.floor(volts / 1e-3 + 0.5) * 1e-3;
  });
  const options = { sampleRate: rate, segmentLength: 4096, detrend: "linear" } as const;

  it.each([
    ["hann", null],
    ["flatTop", 5e-4],
    ["hft95", 5e-4],
    ["hft144d", 1e-4],
    ["hft248d", 5e-5],
  ] as const)("%s", (window, tolerance) => {
    expectClose(signal.subarray(0, 8), expected.first8);
    const row = expected.rows.find((r) => r.window === window.toLowerCase())!;
    const spectrum = welch(signal, { ...options, window, scaling: "spectrum" });
    const rmsAt = (hz: number): number => {
      const near = spectrum.density.filter((_, k) => Math.abs(spectrum.frequency[k]! - hz) < 10);
      return Math.sqrt(Math.max(...near));
    };
    // The signal's own rounding depends on the last bit of sin() here and there: 1e-7 instead of 1e-9.
    expect(Math.abs(rmsAt(1234) / row.peak1_Vrms - 1)).toBeLessThan(1e-7);
    expect(Math.abs(rmsAt(2500.2157) / row.peak2_Vrms - 1)).toBeLessThan(1e-7);
    if (tolerance !== null) {
      expect(Math.abs(rmsAt(1234) / 2 - 1)).toBeLessThan(tolerance);
      expect(Math.abs(rmsAt(2500.2157) / Math.SQRT1_2 - 1)).toBeLessThan(tolerance);
    } else {
      // Negative control: a Hann peak read at the bin is scalloped, 1.13 dB low.
      expect(20 * Math.log10(rmsAt(1234) / 2)).toBeCloseTo(-1.13, 2);
    }
  });

  it("hann: the noise floor is that of rounding, U_LSB / √(6 fs), within 2 %", () => {
    const { density, frequency } = welch(signal, options);
    const band = density.filter((_, k) => frequency[k]! >= 3000 && frequency[k]! <= 4900);
    const floor = Math.sqrt(band.reduce((sum, p) => sum + p, 0) / band.length);
    expect(Math.abs(floor / (1e-3 / Math.sqrt(6 * rate)) - 1)).toBeLessThan(0.02);
    const row = expected.rows.find((r) => r.window === "hann")!;
    expect(Math.abs(floor / row.floor_rms_density_3000_4900 - 1)).toBeLessThan(1e-5);
  });
});

describe("the example of SciPy's manual for signal.welch: a 2 V rms sine at 1234 Hz in 0.001 V²/Hz of noise", () => {
  // SciPy reference, scipy.signal.welch, Examples: mean of the upper half 0.0009925, flat-top peak 2.0077 V rms. Our
  // noise is another draw, so ±2 % and ±1 %.
  const rate = 10_000;
  const count = 100_000;
  const uniform = parkMiller(12 * count, 42);
  const signal = Float64Array.from({ length: count }, (_, n) => {
    let normal = 0;
    for (let k = 0; k < 12; k++) normal += uniform[12 * n + k]!;
    return (
      2 * Math.SQRT2 * Math.sin((2 * Math.PI * 1234 * n) / rate) + Math.sqrt((0.001 * rate) / 2) * normal
    );
  });
  it("reads the noise within 2 % and the sine within 1 %", () => {
    const { density } = welch(signal, { sampleRate: rate, segmentLength: 1024 });
    const upper = density.subarray(256);
    expect(Math.abs(upper.reduce((sum, p) => sum + p, 0) / upper.length / 0.001 - 1)).toBeLessThan(0.02);
    const lines = welch(signal, {
      sampleRate: rate,
      segmentLength: 1024,
      window: "flatTop",
      scaling: "spectrum",
    });
    expect(Math.abs(Math.sqrt(Math.max(...lines.density)) / 2.0077 - 1)).toBeLessThan(0.01);
  });
});

describe("coherenceThreshold(edof, alpha)", () => {
  const { coherence_threshold: rows } = vector<{
    coherence_threshold: { K: number; alpha: number; msc: number }[];
  }>("statistics");
  it("is 1 − α^(1/(K−1)) for K independent segments (Priestley 1981, p. 706)", () => {
    expectClose(
      rows.map((row) => coherenceThreshold(2 * row.K, row.alpha)),
      rows.map((row) => row.msc),
    );
    expect([10, 20, 50, 100].map((k) => coherenceThreshold(2 * k).toFixed(4))).toEqual([
      "0.2831",
      "0.1459",
      "0.0593",
      "0.0298",
    ]);
    expect(coherenceThreshold(2)).toBe(1);
  });

  it("is passed by 5 % of the bins of unrelated noise, overlap taken into account", () => {
    // Seeds in a small ratio would give related series: this generator multiplies.
    const cross = crossSpectrum(parkMiller(65_536, 12345), parkMiller(65_536, 777), {
      sampleRate: 1,
      segmentLength: 64,
    });
    const limit = coherenceThreshold(cross.edof);
    const inner = coherence(cross).subarray(1, -1);
    const share = inner.filter((value) => value > limit).length / inner.length;
    expect(share).toBeLessThan(0.15);
    expect(Math.max(...inner)).toBeLessThan(5 * limit);
  });
});

describe("frequencyResponse(cross)", () => {
  it("recovers the gain and the phase of a delayed copy", () => {
    const noise = parkMiller(20_000, 8);
    const delayed = Float64Array.from(noise, (_, n) => (n < 3 ? 0 : 2 * noise[n - 3]!));
    const cross = crossSpectrum(noise, delayed, { sampleRate: 1, segmentLength: 256 });
    const { gain, phase } = frequencyResponse(cross);
    const k = 16;
    expect(gain[k]!).toBeCloseTo(2, 1);
    expect(phase[k]!).toBeCloseTo(-2 * Math.PI * cross.frequency[k]! * 3, 1);
  });
});

describe("medianBias(count)", () => {
  it("is 1 − 1/2 + 1/3 for 3 and falls to ln 2", () => {
    expect(medianBias(3)).toBeCloseTo(5 / 6, 12);
    expect(medianBias(1)).toBe(1);
    expect(medianBias(100_001)).toBeCloseTo(Math.LN2, 4);
  });
});

it("coherentGain(window) times the peak of a bin-centred sine's amplitude spectrum is consistent", () => {
  expect(coherentGain(windowOf("hann", 64))).toBeCloseTo(0.5, 12);
});
