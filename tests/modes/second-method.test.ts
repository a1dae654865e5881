import { describe, expect, it } from "vitest";
import { bandPoles, hannCorrelation } from "../../src/modes/second-method.js";
import { modeTheta, noisyModel } from "./noise.js";

describe("hannCorrelation(share)", () => {
  it("is 1 at no shift, 1/6 at half a frame, 0 at a whole one (Harris 1978, table I: 16.7 % at 50 % overlap)", () => {
    expect(hannCorrelation(0)).toBeCloseTo(1, 12);
    expect(hannCorrelation(0.5)).toBeCloseTo(1 / 6, 12);
    expect(hannCorrelation(1)).toBeCloseTo(0, 12);
  });
});

describe("bandPoles(average, fromHz, toHz)", () => {
  it("finds the pole of a lone mode within 0.5 Hz and its damping within a third, at two model orders or more", () => {
    const average = noisyModel([0, 0, ...modeTheta(120, 0.02, 20)], {
      bins: 300,
      df: 1,
      frames: 100,
      seed: 3,
    });
    const orders = bandPoles(average, 96, 144)!;
    const hits = orders.filter((poles) =>
      poles.some((p) => Math.abs(p.frequencyHz - 120) < 0.5 && Math.abs(p.dampingRatio / 0.02 - 1) < 0.33),
    );
    expect(hits.length).toBeGreaterThanOrEqual(2);
  });

  it("returns null for a band of a dozen bins or fewer", () => {
    const average = noisyModel([0, 0, ...modeTheta(120, 0.02, 20)], {
      bins: 300,
      df: 1,
      frames: 100,
      seed: 3,
    });
    expect(bandPoles(average, 115, 125)).toBeNull();
  });
});
