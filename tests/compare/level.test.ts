import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { randomStream } from "../../simulator/random.js";
import { levelRatio, sumOfLevels, withScatter } from "../../src/compare/level.js";

const DB = 10 / Math.LN10;

describe("levelRatio", () => {
  // F.05(6,15) = 2.790 and F.05(15,6) = 3.938 (SciPy 1.10.1, R 4.2.2 qf): a published caption has them swapped.
  it("takes the numerator's degrees of freedom first: one-sided 5 % points 2.790 and 3.938", () => {
    expect(levelRatio({ mean: 1, dof: 15 }, { mean: 2.790465, dof: 6 }).pValue).toBeCloseTo(0.1, 4);
    expect(levelRatio({ mean: 1, dof: 6 }, { mean: 3.938058, dof: 15 }).pValue).toBeCloseTo(0.1, 4);
  });

  // NIST/SEMATECH e-Handbook 1.3.5.9 (two-sided: α/2 in either tail); values: SciPy 1.10.1.
  it("gives the two-sided interval of equal levels, ν = 15.26 each: 2.8347 and 0.35277", () => {
    const { ci95Db } = levelRatio({ mean: 1, dof: 15.2583 }, { mean: 1, dof: 15.2583 });
    expect(10 ** (ci95Db[1] / 10)).toBeCloseTo(2.8347, 3);
    expect(10 ** (ci95Db[0] / 10)).toBeCloseTo(0.35277, 4);
  });

  it("turns round when before and after change places", () => {
    const level = fc.record({
      mean: fc.double({ min: 1e-6, max: 1e6, noNaN: true }),
      dof: fc.double({ min: 4, max: 500, noNaN: true }),
    });
    fc.assert(
      fc.property(level, level, (a, b) => {
        const [there, back] = [levelRatio(a, b), levelRatio(b, a)];
        expect(back.ratioDb).toBeCloseTo(-there.ratioDb, 8);
        expect(back.ci95Db[0]).toBeCloseTo(-there.ci95Db[1], 6);
        expect(back.pValue).toBeCloseTo(there.pValue, 6);
      }),
      { seed: 1, numRuns: 50 },
    );
  });

  it("covers the true ratio of chi-square levels in 95 % of draws, and p < 0.05 in 5 %", () => {
    const random = randomStream(11, "levels");
    const draw = (dof: number): number => {
      let sum = 0;
      for (let i = 0; i < dof; i++) sum += random.normal() ** 2;
      return sum / dof;
    };
    let [covered, small] = [0, 0];
    const trials = 3000;
    for (let t = 0; t < trials; t++) {
      const { ci95Db, pValue } = levelRatio({ mean: draw(8), dof: 8 }, { mean: draw(30), dof: 30 });
      if (ci95Db[0] < 0 && ci95Db[1] > 0) covered++;
      if (pValue < 0.05) small++;
    }
    // three standard deviations of a share of 3000
    expect(Math.abs(covered / trials - 0.95)).toBeLessThan(0.012);
    expect(Math.abs(small / trials - 0.05)).toBeLessThan(0.012);
  });
});

describe("sumOfLevels", () => {
  it("adds equal levels' degrees of freedom", () => {
    expect(
      sumOfLevels(
        [
          { mean: 1, dof: 10 },
          { mean: 1, dof: 10 },
        ],
        [1, 1],
      ),
    ).toEqual({ mean: 2, dof: 20 });
  });
  // (1·4 + 1·1)² / (16/10 + 1/20) worked by hand
  it("gives Satterthwaite's degrees of freedom of unequal ones: 25 / 1.65", () => {
    expect(
      sumOfLevels(
        [
          { mean: 4, dof: 10 },
          { mean: 1, dof: 20 },
        ],
        [1, 1],
      ).dof,
    ).toBeCloseTo(25 / 1.65, 10);
  });
});

describe("withScatter", () => {
  it("leaves 150.9 degrees of freedom of any number at 0.5 dB", () => {
    expect(withScatter({ mean: 1, dof: 1e12 }, 0.5).dof).toBeCloseTo(2 / (0.5 / DB) ** 2, 3);
    expect(withScatter({ mean: 1, dof: 1e9 }, 0.5).dof).toBeCloseTo(150.9, 1);
  });
  it("changes nothing without scatter", () => {
    expect(withScatter({ mean: 3, dof: 12 }, 0)).toEqual({ mean: 3, dof: 12 });
  });
});
