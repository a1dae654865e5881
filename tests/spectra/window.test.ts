import { describe, expect, it } from "vitest";
import { realFft } from "../../src/spectra/fft.js";
import {
  coherentGain,
  enbw,
  hann,
  overlapCorrelation,
  WINDOW_NAMES,
  type WindowName,
  windowEnergy,
  windowOf,
} from "../../src/spectra/window.js";
import { expectClose, vector } from "../vectors/vector.js";

interface Merit {
  coherent_gain: number;
  enbw_bins: number;
  scalloping_dB: number;
  peak_sidelobe_dB: number;
  first_minimum_bins: number;
  bw3dB_bins: number;
  bw6dB_bins: number;
  overlap_corr_50: number;
  overlap_corr_75: number;
  worst_case_processing_loss_dB: number;
}
const reference = vector<{
  windows: Record<string, { samples_N16: number[]; figures_of_merit_N4096: Merit }>;
  symmetric_enbw: Record<string, number>;
}>("windows");

const SIZE = 4096;
const referenceName = (name: WindowName): string => name.toLowerCase();
const meritOf = (name: WindowName): Merit => reference.windows[referenceName(name)]!.figures_of_merit_N4096;

/** |W(b)| / W(0) at b bins off centre, straight from the definition. */
function responseAt(window: Float64Array, bins: number): number {
  let [re, im, sum] = [0, 0, 0];
  window.forEach((w, n) => {
    re += w * Math.cos((2 * Math.PI * bins * n) / window.length);
    im -= w * Math.sin((2 * Math.PI * bins * n) / window.length);
    sum += w;
  });
  return Math.hypot(re, im) / sum;
}

/** Highest sidelobe in dB: past the first minimum of a spectrum padded 64 times. */
function peakSidelobeDb(window: Float64Array, firstMinimum: number): number {
  const plan = realFft(64 * window.length);
  const padded = new Float64Array(plan.size);
  padded.set(window);
  const out = new Float64Array(2 * plan.bins);
  plan.forward(padded, out);
  let highest = 0;
  for (let k = Math.round(64 * firstMinimum); k < 40 * 64; k++) {
    highest = Math.max(highest, Math.hypot(out[2 * k]!, out[2 * k + 1]!));
  }
  return 20 * Math.log10(highest / Math.hypot(out[0]!, out[1]!));
}

/** Width in bins at which the response has fallen by so many dB. */
function widthAt(window: Float64Array, db: number): number {
  let [low, high] = [0, 8];
  for (let i = 0; i < 50; i++) {
    const middle = (low + high) / 2;
    if (responseAt(window, middle) > 10 ** (-db / 20)) low = middle;
    else high = middle;
  }
  return 2 * low;
}

describe("windowOf(name, length) gives the samples of SciPy 1.10.1 get_window and of Heinzel et al. 2002", () => {
  it.each(WINDOW_NAMES)("%s", (name) => {
    expectClose(windowOf(name, 16), reference.windows[referenceName(name)]!.samples_N16);
  });

  it("gives [0, 0.5, 1, 0.5] for a periodic Hann of 4 and is mirror-symmetric when asked", () => {
    expectClose(hann(4), [0, 0.5, 1, 0.5]);
    for (const name of WINDOW_NAMES) {
      const window = windowOf(name, 33, "symmetric");
      expectClose(window.toReversed(), window);
    }
  });

  it("gives one weight of 1 for a length of 1 and refuses lengths that are none", () => {
    expect([...windowOf("hann", 1, "symmetric")]).toEqual([1]);
    expect(() => windowOf("hann", 0)).toThrow(RangeError);
    expect(() => windowOf("hann", 2.5)).toThrow(RangeError);
  });
});

describe("figures of merit at 4096 samples agree with SciPy 1.10.1 from the same definitions", () => {
  it.each(WINDOW_NAMES)("%s: coherent gain, ENBW, correlations, scalloping, widths", (name) => {
    const window = windowOf(name, SIZE);
    const merit = meritOf(name);
    const scalloping = -20 * Math.log10(responseAt(window, 0.5));
    expectClose(
      [
        coherentGain(window),
        enbw(window),
        overlapCorrelation(window, SIZE / 2),
        overlapCorrelation(window, SIZE / 4),
        widthAt(window, 3),
        widthAt(window, 6),
      ],
      [
        merit.coherent_gain,
        merit.enbw_bins,
        merit.overlap_corr_50,
        merit.overlap_corr_75,
        merit.bw3dB_bins,
        merit.bw6dB_bins,
      ],
    );
    // Levels near 0 dB are good to 1e-10 dB only: the reference says so of itself.
    expect(Math.abs(scalloping - merit.scalloping_dB)).toBeLessThan(1e-9);
    const loss = scalloping + 10 * Math.log10(enbw(window));
    expect(Math.abs(loss - merit.worst_case_processing_loss_dB)).toBeLessThan(1e-9);
  });

  it.each(WINDOW_NAMES)("%s: highest sidelobe", (name) => {
    const merit = meritOf(name);
    const level = peakSidelobeDb(windowOf(name, SIZE), merit.first_minimum_bins);
    // Sidelobes below −190 dB stand at the rounding error of the transform, hence 0.05 dB (or 1 dB) there.
    const tolerance = merit.peak_sidelobe_dB > -150 ? 1e-4 : merit.peak_sidelobe_dB > -200 ? 0.05 : 1;
    expect(Math.abs(level - merit.peak_sidelobe_dB)).toBeLessThan(tolerance);
  });
});

describe("published figures", () => {
  // F. J. Harris, Proc. IEEE 66(1), 1978, Table I, Hann row (from memory; half a unit in the last printed digit)
  it("hann: gain 0.50, ENBW 1.50, 3 dB 1.44, 6 dB 2.00, scalloping 1.42 dB, overlap 65.9 % and 16.7 %", () => {
    const window = hann(SIZE);
    expect(coherentGain(window)).toBeCloseTo(0.5, 2);
    expect(enbw(window)).toBeCloseTo(1.5, 12);
    expect(widthAt(window, 3)).toBeCloseTo(1.44, 2);
    expect(widthAt(window, 6)).toBeCloseTo(2.0, 2);
    expect(-20 * Math.log10(responseAt(window, 0.5))).toBeCloseTo(1.42, 2);
    expect(100 * overlapCorrelation(window, SIZE / 4)).toBeCloseTo(65.9, 0.8);
    expect(100 * overlapCorrelation(window, SIZE / 2)).toBeCloseTo(16.7, 0.8);
  });

  // G. Heinzel, A. Rüdiger, R. Schilling 2002, appendix C, as quoted in the reference of ARM's CMSIS-DSP library:
  // normalised ENBW, 3 dB width, flatness in dB, peak sidelobe in dB
  it.each([
    ["hann", 1.5, 1.4382, -1.4236, 31.5],
    ["hamming", 1.3628, 1.3008, -1.7514, 42.7],
    ["blackmanHarris", 2.0044, 1.8962, -0.8256, 92.0],
    ["hft144d", 4.5386, 4.4697, -0.0021, 144.1],
    ["hft196d", 5.1134, 5.0308, -0.0013, 196.2],
  ] as const)(
    "%s has ENBW %f, 3 dB width %f, flatness %f dB, sidelobes %f dB down",
    (name, noise, width, flat, sidelobe) => {
      const window = windowOf(name, SIZE);
      expect(Math.abs(enbw(window) - noise)).toBeLessThan(1e-4);
      expect(Math.abs(widthAt(window, 3) - width)).toBeLessThan(2e-4);
      expect(Math.abs(20 * Math.log10(responseAt(window, 0.5)) - flat)).toBeLessThan(1e-4);
      expect(Math.abs(peakSidelobeDb(window, meritOf(name).first_minimum_bins) + sidelobe)).toBeLessThan(0.1);
    },
  );

  // same source, list of flat-top windows
  it.each([
    ["hft90d", 90.2],
    ["hft95", 95.0],
    ["hft116d", 116.8],
  ] as const)("%s has sidelobes %f dB down", (name, sidelobe) => {
    expect(peakSidelobeDb(windowOf(name, SIZE), meritOf(name).first_minimum_bins)).toBeCloseTo(-sidelobe, 1);
  });

  // MathWorks reference page of `enbw`, examples; all of them are symmetric windows
  it.each([
    ["hamming", 1000, 1, 1.3638, 4],
    ["hann", 128, 1000 / 128, 11.811, 3],
    ["hann", 1000, 10000 / 1000, 15.015, 3],
    ["flatTop", 10000, 44100 / 10000, 16.6285, 3],
  ] as const)("enbw(symmetric %s of %i) times %f is %f", (name, length, scale, printed, digits) => {
    expect(enbw(windowOf(name, length, "symmetric")) * scale).toBeCloseTo(printed, digits);
  });

  it("enbw(boxcar) is exactly 1 and enbw of weights that cancel is refused", () => {
    expect(enbw(windowOf("boxcar", 77))).toBe(1);
    expect(() => enbw(Float64Array.of(1, -1))).toThrow(RangeError);
    expect(windowEnergy(Float64Array.of(1, 2))).toBe(5);
  });
});
