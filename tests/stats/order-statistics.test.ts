import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { benjaminiHochberg } from "../../src/stats/benjamini-hochberg.js";
import { harmonicNumber } from "../../src/stats/harmonic-number.js";
import { mad, robustSd } from "../../src/stats/mad.js";
import { median, medianInPlace } from "../../src/stats/median.js";
import { quantile, quantileInPlace } from "../../src/stats/quantile.js";
import { select } from "../../src/stats/select.js";
import { expectedSmallestSum, trimmedExponentialMean } from "../../src/stats/trimmed-exponential-mean.js";
import { expectClose, parkMiller, vector } from "../vectors/vector.js";

const numbers = fc.array(fc.double({ min: -1e9, max: 1e9, noNaN: true }), { minLength: 1, maxLength: 80 });

describe("select(values, k)", () => {
  it("gives the value of rank k with smaller ones before and larger ones after it", () => {
    fc.assert(
      fc.property(numbers, fc.nat(), (list, seed) => {
        const k = seed % list.length;
        const values = Float64Array.from(list);
        const sorted = Float64Array.from(list).sort();
        expect(select(values, k)).toBe(sorted[k]);
        expect(values.subarray(0, k).every((v) => v <= values[k]!)).toBe(true);
        expect(values.subarray(k).every((v) => v >= values[k]!)).toBe(true);
      }),
    );
  });

  it("copes with many equal values and with sorted ones in linear time", () => {
    const equal = new Float64Array(200_000).fill(1);
    const rising = Float64Array.from({ length: 200_000 }, (_, i) => i);
    expect(select(equal, 100_000)).toBe(1);
    expect(select(rising, 12_345)).toBe(12_345);
    expect(select(rising.slice().reverse(), 12_345)).toBe(12_345);
  });

  it("refuses a rank that does not exist", () => {
    expect(() => select(new Float64Array(3), 3)).toThrow(RangeError);
  });
});

describe("quantile, median, mad", () => {
  it("quantile([1, 2, 3, 4], 0.25) is 1.75 and median([3, 1, 2, 10]) is 2.5", () => {
    expect(quantile([1, 2, 3, 4], 0.25)).toBe(1.75);
    expect(median([3, 1, 2, 10])).toBe(2.5);
    expect(mad([1, 1, 2, 2, 4, 6, 9])).toBe(1);
  });

  it("quantile agrees with sorting and interpolating, and leaves its input alone", () => {
    fc.assert(
      fc.property(numbers, fc.double({ min: 0, max: 1, noNaN: true }), (list, q) => {
        const before = [...list];
        const sorted = Float64Array.from(list).sort();
        const rank = q * (sorted.length - 1);
        const low = sorted[Math.floor(rank)]!;
        const high = sorted[Math.ceil(rank)]!;
        const expected = low + (rank - Math.floor(rank)) * (high - low);
        expect(quantile(list, q)).toBeCloseTo(expected, 6);
        expect(list).toEqual(before);
      }),
    );
  });

  it("leave NaN out, and are NaN when nothing is left", () => {
    expect(median([Number.NaN, 1, Number.NaN, 3])).toBe(2);
    expect([median([]), quantile([Number.NaN], 0.5), mad([])]).toEqual([Number.NaN, Number.NaN, Number.NaN]);
    expect(() => quantile([1], 1.1)).toThrow(RangeError);
  });

  it("the in-place forms take the first values only", () => {
    expect(medianInPlace(Float32Array.of(5, 1, 3, 99, 99), 3)).toBe(3);
    expect(quantileInPlace(Float64Array.of(4, 2, 99), 1, 2)).toBe(4);
  });

  it("robustSd tells the standard deviation of normal noise and does not mind wild values", () => {
    const uniform = parkMiller(12 * 20_000, 77);
    const normal = Float64Array.from({ length: 20_000 }, (_, i) =>
      uniform.subarray(12 * i, 12 * i + 12).reduce((sum, v) => sum + v, 0),
    );
    normal.fill(1e6, 0, 200);
    expect(robustSd(normal)).toBeCloseTo(1, 1);
  });
});

describe("harmonicNumber(n)", () => {
  it("is the sum 1 + 1/2 + … + 1/n, also where the series takes over", () => {
    expect(harmonicNumber(0)).toBe(0);
    expect(harmonicNumber(4)).toBeCloseTo(25 / 12, 14);
    let sum = 0;
    for (let n = 1; n <= 1000; n++) {
      sum += 1 / n;
      if (n >= 250) expect(Math.abs(harmonicNumber(n) / sum - 1)).toBeLessThan(1e-14);
    }
    expect(() => harmonicNumber(-1)).toThrow(RangeError);
  });
});

describe("trimmedExponentialMean(values, keep)", () => {
  it("divides by Σ (H_n − H_{n−j}): 3 / (1/3 + 5/6) for the two smallest of 1, 2, 99", () => {
    expect(expectedSmallestSum(3, 2)).toBeCloseTo(1 / 3 + 5 / 6, 14);
    expect(trimmedExponentialMean(Float64Array.of(99, 1, 2), 2)).toBeCloseTo(3 / (1 / 3 + 5 / 6), 12);
    let direct = 0;
    for (let j = 1; j <= 17; j++) direct += harmonicNumber(25) - harmonicNumber(25 - j);
    expect(expectedSmallestSum(25, 17)).toBeCloseTo(direct, 12);
  });

  it("is the plain mean when nothing is trimmed, NaN of nothing, and refuses more than there are", () => {
    expect(trimmedExponentialMean(Float64Array.of(1, 2, 6), 3)).toBeCloseTo(3, 12);
    expect(trimmedExponentialMean(new Float64Array(0), 0)).toBeNaN();
    expect(() => trimmedExponentialMean(Float64Array.of(1), 2)).toThrow(RangeError);
  });

  it("is unbiased on exponential values, wild ones or not", () => {
    const u = parkMiller(40 * 5000, 31);
    let total = 0;
    for (let trial = 0; trial < 5000; trial++) {
      const cells = Float64Array.from(u.subarray(40 * trial, 40 * trial + 40), (v) => -Math.log(v + 0.5));
      total += trimmedExponentialMean(cells, 36);
    }
    // sd of one estimate is about 1 / √36; of 5000, 0.0024
    expect(Math.abs(total / 5000 - 1)).toBeLessThan(0.01);
  });
});

describe("benjaminiHochberg(pValues, q)", () => {
  const r = vector<{
    benjamini_hochberg_1995: { p: number[]; q: number; rejected: number; adjusted_p: number[] };
  }>("statistics").benjamini_hochberg_1995;

  // Y. Benjamini, Y. Hochberg, J. R. Stat. Soc. B 57, 1995, p. 295; adjusted p by R 4.2.2 p.adjust
  it("rejects 4 of the 15 hypotheses of the paper's example at q = 0.05 (Bonferroni: 3)", () => {
    const found = benjaminiHochberg(r.p, r.q);
    expect(found.count).toBe(r.rejected);
    expectClose(found.adjusted, r.adjusted_p);
    expect(r.p.filter((p) => p <= 0.05 / 15).length).toBe(3);
  });

  it("steps up: p-values that miss their own threshold are rescued by a later one", () => {
    expect(benjaminiHochberg([0.02, 0.03, 0.035, 0.038, 0.049], 0.05).count).toBe(5);
    expect(benjaminiHochberg([0.01, 0.04, 0.03, 0.5], 0.05).count).toBe(1);
  });

  it("answers in the order asked, and rejects exactly where the adjusted p is at most q", () => {
    const list = fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { maxLength: 30 });
    fc.assert(
      fc.property(list, (p) => {
        const { rejected, adjusted, count } = benjaminiHochberg(p, 0.1);
        expect(rejected.reduce((sum, v) => sum + v, 0)).toBe(count);
        p.forEach((value, i) => {
          expect(adjusted[i]).toBeGreaterThanOrEqual(value);
          expect(rejected[i]).toBe(adjusted[i]! <= 0.1 ? 1 : 0);
        });
      }),
    );
    expect(() => benjaminiHochberg([1.5], 0.05)).toThrow(RangeError);
    expect(() => benjaminiHochberg([Number.NaN], 0.05)).toThrow(RangeError);
  });
});
