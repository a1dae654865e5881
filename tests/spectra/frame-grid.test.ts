import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { frameGrid, hopFor, validRuns } from "../../src/spectra/frame-grid.js";
import { meanSpectrum, shortTimeSpectrum } from "../../src/spectra/short-time.js";
import { welch } from "../../src/spectra/welch.js";
import { windowOf } from "../../src/spectra/window.js";
import { expectClose, parkMiller } from "../vectors/vector.js";

const options = { sampleRate: 100, segmentLength: 4, hop: 2 };

describe("frameGrid(spans, options, valid)", () => {
  it("lays frames by hop inside each span", () => {
    const grid = frameGrid(
      [
        { from: 0, to: 8 },
        { from: 11, to: 16 },
      ],
      options,
    );
    expect([...grid.starts]).toEqual([0, 2, 4, 11]);
    expect(grid.bins).toBe(3);
  });

  it("starts afresh after an invalid sample", () => {
    const valid = new Uint8Array(16).fill(1);
    valid[5] = 0;
    expect([...frameGrid([{ from: 0, to: 16 }], options, valid).starts]).toEqual([0, 6, 8, 10, 12]);
  });

  it("never lists a frame that touches an invalid sample or leaves its span", () => {
    const flags = fc.array(fc.constantFrom(0, 1, 1, 1, 1), { minLength: 1, maxLength: 200 });
    fc.assert(
      fc.property(
        flags,
        fc.integer({ min: 1, max: 9 }),
        fc.integer({ min: 1, max: 9 }),
        (list, length, hop) => {
          const valid = Uint8Array.from(list);
          const spans = [{ from: 3, to: list.length + 5 }];
          const { starts } = frameGrid(spans, { sampleRate: 1, segmentLength: length, hop }, valid);
          for (const start of starts) {
            expect(start).toBeGreaterThanOrEqual(3);
            expect(start + length).toBeLessThanOrEqual(list.length);
            expect(valid.subarray(start, start + length).every((v) => v === 1)).toBe(true);
          }
        },
      ),
    );
  });

  it("refuses lengths that are none", () => {
    expect(() => frameGrid([], { ...options, hop: 0 })).toThrow(RangeError);
    expect(() => frameGrid([], { ...options, segmentLength: 1.5 })).toThrow(RangeError);
  });
});

describe("validRuns(spans, valid)", () => {
  it("splits spans at invalid samples", () => {
    const valid = Uint8Array.of(1, 1, 0, 1, 1, 0, 0);
    expect(
      validRuns(
        [
          { from: 0, to: 5 },
          { from: 5, to: 7 },
        ],
        valid,
      ),
    ).toEqual([
      { from: 0, to: 2 },
      { from: 3, to: 5 },
    ]);
  });
});

describe("hopFor(segmentLength, overlap)", () => {
  it("rounds the overlap down to whole samples", () => {
    expect([hopFor(64, 0.5), hopFor(63, 0.5), hopFor(10, 0.7), hopFor(64, 0)]).toEqual([32, 32, 3, 64]);
  });
});

describe("shortTimeSpectrum(x, grid) and meanSpectrum(frames)", () => {
  const x = Float32Array.from(parkMiller(3000, 4));
  const grid = frameGrid([{ from: 10, to: 2900 }], { sampleRate: 50, segmentLength: 128, hop: 64 });

  it("the mean of the frames is the Welch spectrum, interval and all", () => {
    const mean = meanSpectrum(shortTimeSpectrum(x, grid));
    const direct = welch(x, { sampleRate: 50, segmentLength: 128, spans: [{ from: 10, to: 2900 }] });
    // frames are kept in single precision: 2⁻²⁴
    expectClose(mean.density, direct.density, { relative: 6e-8 });
    expectClose(mean.upper, direct.upper, { relative: 6e-8 });
    expect([mean.edof, mean.averages, mean.resolution]).toEqual([
      direct.edof,
      direct.averages,
      direct.resolution,
    ]);
  });

  it("takes other windows, and odd lengths whose last bin is doubled", () => {
    const odd = frameGrid([{ from: 0, to: 3000 }], { sampleRate: 50, segmentLength: 125, hop: 63 });
    const window = windowOf("blackmanHarris", 125);
    const direct = welch(x, { sampleRate: 50, segmentLength: 125, window });
    expectClose(meanSpectrum(shortTimeSpectrum(x, odd, window), window).density, direct.density, {
      relative: 6e-8,
    });
  });

  it("refuses a frame that leaves the series", () => {
    expect(() => shortTimeSpectrum(x.subarray(0, 2000), grid)).toThrow(RangeError);
  });
});
