import { describe, expect, it } from "vitest";
import { fitModes } from "../../src/modes/fit-modes.js";
import type { FixedAverage } from "../../src/modes/masked-average.js";
import { agreementOn, bandPoles, hannCorrelation } from "../../src/modes/second-method.js";
import { gammaNoise, modeTheta, noisyModel } from "./noise.js";

describe("hannCorrelation(share)", () => {
  it("is 1 at no shift, 1/6 at half a frame, 0 at a whole one (Harris 1978, table I: 16.7 % at 50 % overlap)", () => {
    expect(hannCorrelation(0)).toBeCloseTo(1, 12);
    expect(hannCorrelation(0.5)).toBeCloseTo(1 / 6, 12);
    expect(hannCorrelation(1)).toBeCloseTo(0, 12);
  });
});

describe("bandPoles(average, fromHz, toHz)", () => {
  it("finds the pole of a lone mode within 0.5 Hz and its damping within a third, at three model orders or more", () => {
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
    expect(hits.length).toBeGreaterThanOrEqual(3);
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

describe("agreementOn(average, mode)", () => {
  const shape = 60;

  /** A spectrum of a given shape with gamma noise on it. */
  function averageOf(density: (hz: number) => number, seed: number): FixedAverage {
    const noise = gammaNoise(400, shape, seed);
    const even = noise.map(() => shape);
    return {
      df: 0.5,
      density: noise.map((n, b) => n * density(0.5 * b)),
      frames: even,
      shape: even,
      classes: [],
    };
  }

  /** What the first method makes of it. */
  function fitted(average: FixedAverage, frequencyHz: number, dampingRatio: number) {
    const start = { frequencyHz, dampingRatio, gain: 10, lean: 0, reachHz: 5, held: false };
    return fitModes(average, { fromHz: frequencyHz - 30, toHz: frequencyHz + 30 }, [start], 0)!.modes[0]!;
  }

  it("is both for a resonance, ten times of ten", () => {
    for (let seed = 0; seed < 10; seed++) {
      const average = noisyModel([0, 0, ...modeTheta(120, 0.02, 20)], {
        bins: 400,
        df: 0.5,
        frames: shape,
        seed,
      });
      expect(agreementOn(average, fitted(average, 119, 0.015))).toBe("both");
    }
  });

  it("is one for a hump with flat top and steep sides, as a line leaves that wanders: the fit takes it, no pole does", () => {
    let disagreed = 0;
    for (let seed = 0; seed < 10; seed++) {
      const average = averageOf((hz) => (Math.abs(hz - 110) < 6 ? 12 : 1), seed);
      const mode = fitted(average, 110, 0.04);
      expect(mode.gain).toBeGreaterThan(5);
      if (agreementOn(average, mode) === "one") disagreed++;
    }
    expect(disagreed).toBeGreaterThanOrEqual(8);
  });

  it("is one where the first method is wrong by a half-power width", () => {
    const average = noisyModel([0, 0, ...modeTheta(120, 0.02, 20)], {
      bins: 400,
      df: 0.5,
      frames: shape,
      seed: 3,
    });
    const mode = { frequencyHz: 124.8, dampingRatio: 0.02, sdHz: 0.2 };
    expect(agreementOn(average, mode)).toBe("one");
  });

  it("is untested where lines cover the skirt on one side in every frame", () => {
    const average = averageOf((hz) => (hz < 116 ? Number.NaN : 1), 3);
    expect(agreementOn(average, { frequencyHz: 120, dampingRatio: 0.02, sdHz: 0.2 })).toBe("untested");
  });
});
