import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { findPeaks, localMaxima } from "../../src/spectra/peaks.js";
import { expectClose, vector } from "../vectors/vector.js";

describe("findPeaks(z, filter) agrees with SciPy 1.10.1 signal.find_peaks", () => {
  const r = vector<{
    z: number[];
    peaks: number[];
    prominences: number[];
    left_bases: number[];
    right_bases: number[];
    widths: number[];
    width_heights: number[];
    left_ips: number[];
    right_ips: number[];
    peaks_prominence_ge_2: number[];
    peaks_distance_4: number[];
  }>("find_peaks");
  const peaks = findPeaks(r.z);

  it("positions (flat tops included), prominences, bases and widths", () => {
    expect(peaks.map((p) => p.index)).toEqual(r.peaks);
    expectClose(
      peaks.map((p) => p.prominence),
      r.prominences,
    );
    expect(peaks.map((p) => p.leftBase)).toEqual(r.left_bases);
    expect(peaks.map((p) => p.rightBase)).toEqual(r.right_bases);
    expectClose(
      peaks.map((p) => p.width),
      r.widths,
    );
    expectClose(
      peaks.map((p) => p.widthHeight),
      r.width_heights,
    );
    expectClose(
      peaks.map((p) => p.left),
      r.left_ips,
    );
    expectClose(
      peaks.map((p) => p.right),
      r.right_ips,
    );
  });

  it("least prominence, least distance", () => {
    expect(findPeaks(r.z, { minProminence: 2 }).map((p) => p.index)).toEqual(r.peaks_prominence_ge_2);
    expect(findPeaks(r.z, { minDistance: 4 }).map((p) => p.index)).toEqual(r.peaks_distance_4);
  });
});

describe("findPeaks(z, filter)", () => {
  it("takes the middle of a flat top and never an end", () => {
    expect(findPeaks([0, 2, 2, 0]).map((p) => p.index)).toEqual([1]);
    expect(localMaxima([3, 1, 2, 2])).toEqual([]);
    expect(localMaxima([])).toEqual([]);
  });

  it("applies least height and width", () => {
    const z = [0, 1, 0, 5, 5, 5, 5, 0];
    expect(findPeaks(z, { minHeight: 2 }).map((p) => p.index)).toEqual([4]);
    expect(findPeaks(z, { minWidth: 2 }).map((p) => p.index)).toEqual([4]);
  });

  it("finds peaks that stand above both bases, by no more than their height above the lowest sample", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: -20, max: 20 }), { maxLength: 60 }), (z) => {
        for (const peak of findPeaks(z)) {
          expect(peak.prominence).toBeGreaterThan(0);
          expect(peak.prominence).toBeLessThanOrEqual(peak.height - Math.min(...z));
          expect(peak.left).toBeLessThanOrEqual(peak.index);
          expect(peak.right).toBeGreaterThanOrEqual(peak.index);
        }
      }),
    );
  });
});
