import { readFileSync } from "node:fs";
import { beforeAll, describe, expect, it } from "vitest";
import { powerDb } from "../../src/spectra/decibel.js";
import { findPeaks } from "../../src/spectra/peaks.js";
import { type WelchOptions, welch } from "../../src/spectra/welch.js";
import { recorded } from "../real/recorded.js";

/**
 * A steel cantilever on a shaker, 3200 Hz: tones at 100, 120 and 150 Hz, the last switched off half way.
 *
 * Source: P. Chowdhury, A. Downey, J. D. Bakos, P. Conrad, "Dataset-4-univariate-signal-with-nonstationarity",
 * April 2021, CC BY-SA 4.0 (read where it lies, no copy here).
 */
const file = recorded("beam_shaker_tone_drops_out.csv");
const FS = 3200;

describe.skipIf(file.absent)(`welch of a recorded beam whose 150 Hz tone drops out${file.note}`, () => {
  let accel = new Float64Array(0);
  beforeAll(() => {
    const rows = readFileSync(file.path, "utf8").trim().split("\n").slice(1);
    accel = Float64Array.from(rows, (row) => Number(row.split(",")[3]));
  });
  const between = (fromS: number, toS: number, options: Partial<WelchOptions> = {}) =>
    welch(accel, {
      sampleRate: FS,
      segmentLength: 8192,
      window: "blackmanHarris",
      spans: [{ from: fromS * FS, to: toS * FS }],
      ...options,
    });

  it("finds 100, 120 and 150 Hz within 0.5 Hz as the three highest peaks of the first half", () => {
    const { frequency, density } = between(1, 8);
    const peaks = findPeaks(density.map(powerDb), { minDistance: 8, minProminence: 10 });
    const highest = peaks.toSorted((a, b) => b.height - a.height).slice(0, 3);
    const found = highest.map((peak) => frequency[peak.index]!).sort((a, b) => a - b);
    [100, 120, 150].forEach((tone, i) => {
      expect(Math.abs(found[i]! - tone)).toBeLessThan(0.5);
    });
  });

  it("finds 150 Hz gone after 10 s, the other two still where they were", () => {
    const [first, second] = [between(1, 8), between(11, 19)];
    const change = (hz: number): number => {
      const k = Math.round((hz * 8192) / FS);
      return powerDb(second.density[k]! / first.density[k]!);
    };
    expect(change(150)).toBeLessThan(-60);
    expect(change(100)).toBeGreaterThan(-3);
    expect(change(120)).toBeGreaterThan(-3);
  });
});
