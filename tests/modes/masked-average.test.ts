import { describe, expect, it } from "vitest";
import { randomStream } from "../../simulator/random.js";
import { level, logPlane } from "../../src/modes/levelling.js";
import { maskedAverage } from "../../src/modes/masked-average.js";
import type { Plane } from "../../src/modes/plane.js";

const BINS = 257;

/** Exponential cells: level(bin) · gain(frame), with a mask. */
function plane(
  frames: number,
  gain: (k: number) => number,
  masked: (k: number, b: number) => boolean,
  seed = 1,
): Plane {
  const random = randomStream(seed, "plane");
  const power = new Float32Array(frames * BINS);
  const mask = new Uint8Array(frames * BINS);
  for (let k = 0; k < frames; k++) {
    for (let b = 0; b < BINS; b++) {
      const touched = masked(k, b);
      mask[k * BINS + b] = touched ? 1 : 0;
      power[k * BINS + b] = -Math.log(1 - random.uniform()) * gain(k) * (touched ? 1000 : 1);
    }
  }
  const starts = Int32Array.from({ length: frames }, (_, k) => 256 * k);
  return {
    grid: { sampleRate: 512, segmentLength: 512, hop: 256, starts, bins: BINS },
    axes: [{ axis: "roll", power }],
    mask,
  };
}

function average(p: Plane): Float64Array {
  return maskedAverage(p, { axis: 0, levelling: level(p, logPlane(p)), classOf: null }).density;
}

function meanOf(values: Float64Array, from: number, to: number): number {
  return values.slice(from, to).reduce((s, v) => s + v, 0) / (to - from);
}

describe("maskedAverage(plane, request)", () => {
  it("is unbiased for exponential cells, although the largest tenth is left out", () => {
    const p = plane(
      100,
      () => 2,
      () => false,
    );
    expect(meanOf(average(p), 4, 250)).toBeCloseTo(2, 1);
  });

  it("does not see lines under the mask, thirty decibel strong", () => {
    const p = plane(
      80,
      () => 1,
      (k, b) => Math.abs(b - (60 + k)) < 6,
    );
    const s = average(p);
    expect(Math.max(...s.slice(4, 250))).toBeLessThan(2);
  });

  it("makes no step at the mask's edge when wash grows eightfold while the mask moves", () => {
    // low bins are free only in the loud half, high bins only in the quiet half
    const p = plane(
      120,
      (k) => (k < 60 ? 8 : 1),
      (k, b) => (k < 60 ? b >= 190 : b < 60),
    );
    const s = average(p);
    expect(Math.abs(meanOf(s, 10, 55) / meanOf(s, 195, 245) - 1)).toBeLessThan(0.1);
  });

  it("gives NaN where fewer than four frames are free, and counts them", () => {
    const p = plane(
      40,
      () => 1,
      (k, b) => b === 50 && k > 2,
    );
    const s = maskedAverage(p, { axis: 0, levelling: level(p, logPlane(p)), classOf: null });
    expect(s.density[50]).toBeNaN();
    expect(s.frames[50]).toBe(3);
  });

  it("withstands bursts: one frame in twenty a hundred times as loud moves the mean by less than 3 %", () => {
    const p = plane(
      100,
      (k) => (k % 20 === 7 ? 100 : 1),
      () => false,
    );
    expect(Math.abs(meanOf(average(p), 4, 250) - 1)).toBeLessThan(0.03);
  });
});

describe("level(plane, logs)", () => {
  it("recovers how strongly each frame was shaken within 10 %", () => {
    const p = plane(
      60,
      (k) => Math.exp(Math.sin(k)),
      () => false,
    );
    const { excitation } = level(p, logPlane(p));
    const offset = excitation[0]! - Math.sin(0);
    for (let k = 0; k < 60; k++) expect(Math.abs(excitation[k]! - offset - Math.sin(k))).toBeLessThan(0.3);
  });
});
