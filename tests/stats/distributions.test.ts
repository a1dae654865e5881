import { describe, expect, it } from "vitest";
import { chiSquareCdf } from "../../src/stats/chi-square-cdf.js";
import { chiSquareQuantile } from "../../src/stats/chi-square-quantile.js";
import { fCdf } from "../../src/stats/f-cdf.js";
import { fQuantile } from "../../src/stats/f-quantile.js";
import { normalQuantile } from "../../src/stats/normal-quantile.js";
import { tQuantile } from "../../src/stats/t-quantile.js";
import { varianceRatioLimits } from "../../src/stats/variance-ratio.js";
import { expectClose, vector } from "../vectors/vector.js";

const reference = vector<{
  p: number[];
  chi2: { nu: number; q: number[] }[];
  F: { d1: number; d2: number; p: number[]; q: number[] }[];
  t: { nu: number; p: number[]; q: number[] }[];
  normal: { p: number[]; q: number[] };
}>("statistics");

describe("quantiles agree with SciPy 1.10.1 (Student t: R 4.2.2) to 1e-9", () => {
  it("chiSquareQuantile", () => {
    for (const { nu, q } of reference.chi2)
      expectClose(
        reference.p.map((p) => chiSquareQuantile(p, nu)),
        q,
      );
  });
  it("fQuantile", () => {
    for (const { d1, d2, p, q } of reference.F)
      expectClose(
        p.map((value) => fQuantile(value, d1, d2)),
        q,
      );
  });
  it("tQuantile", () => {
    for (const { nu, p, q } of reference.t)
      expectClose(
        p.map((value) => tQuantile(value, nu)),
        q,
      );
  });
  it("normalQuantile", () => {
    expectClose(reference.normal.p.map(normalQuantile), reference.normal.q);
  });
  it("distribution functions undo them", () => {
    for (const { nu, q } of reference.chi2)
      expectClose(
        q.map((x) => chiSquareCdf(x, nu)),
        reference.p,
      );
    for (const { d1, d2, p, q } of reference.F)
      expectClose(
        q.map((x) => fCdf(x, d1, d2)),
        p,
      );
  });
});

describe("printed tables", () => {
  // NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.4, lower critical values
  it.each([
    [10, 3.247],
    [20, 9.591],
    [30, 16.791],
    [50, 32.357],
    [100, 74.222],
  ])("χ²(0.025; %i) = %f", (dof, printed) => {
    expect(chiSquareQuantile(0.025, dof)).toBeCloseTo(printed, 3);
  });

  // printed chi-square table of an examination appendix
  it.each([
    [0.025, 10, 20.48318],
    [0.05, 10, 18.30704],
    [0.025, 1, 5.02389],
    [0.05, 1, 3.84146],
    [0.025, 4, 11.14329],
    [0.05, 4, 9.48773],
  ])("upper %f point of χ²(%i) = %f", (tail, dof, printed) => {
    expect(chiSquareQuantile(1 - tail, dof)).toBeCloseTo(printed, 5);
  });

  // printed F table, atozmath.com
  it.each([
    [0.05, 1, 1, 161.4476],
    [0.05, 2, 2, 19.0],
    [0.05, 3, 2, 19.1643],
    [0.01, 2, 2, 99.0],
  ])("upper %f point of F(%i, %i) = %f", (tail, d1, d2, printed) => {
    expect(fQuantile(1 - tail, d1, d2)).toBeCloseTo(printed, 4);
  });

  // NIST/SEMATECH e-Handbook, section 1.3.6.7.3 (from memory)
  it.each([
    [0.05, 10, 2.978],
    [0.05, 20, 2.124],
    [0.05, 30, 1.841],
    [0.025, 10, 3.717],
    [0.025, 20, 2.464],
    [0.025, 30, 2.074],
  ])("upper %f point of F with %i degrees of freedom each = %f", (tail, dof, printed) => {
    expect(fQuantile(1 - tail, dof, dof)).toBeCloseTo(printed, 3);
  });

  it("the order of the degrees of freedom matters: F.05(6, 15) = 2.790, F.05(15, 6) = 3.938", () => {
    expect(fQuantile(0.95, 6, 15)).toBeCloseTo(2.79, 3);
    expect(fQuantile(0.95, 15, 6)).toBeCloseTo(3.938, 3);
  });
});

describe("varianceRatioLimits(dof1, dof2, alpha)", () => {
  // two-sided: α/2 in each tail, lower limit 1 / F(ν2, ν1); NIST e-Handbook, note in section 1.3.6.7.3
  it("is 0.35277 and 2.8347 for 15.26 degrees of freedom each", () => {
    const [low, high] = varianceRatioLimits(15.2583, 15.2583);
    expect(low).toBeCloseTo(0.35277, 4);
    expect(high).toBeCloseTo(2.8347, 3);
    const [a, b] = varianceRatioLimits(6, 15);
    const [c, d] = varianceRatioLimits(15, 6);
    expect([a * d, b * c].map((v) => v.toFixed(9))).toEqual(["1.000000000", "1.000000000"]);
  });
});
