import { describe, expect, it } from "vitest";
import { normalPValue, withDiscoveries } from "../../src/compare/discoveries.js";

const tests = (pValues: readonly number[]) => pValues.map((pValue) => ({ pValue }));
const kept = (pValues: readonly number[], bound: number) =>
  withDiscoveries(tests(pValues), bound).filter((t) => t.significant).length;

// Y. Benjamini, Y. Hochberg, J. R. Stat. Soc. B 57, 1995, p. 295: the thrombolysis example, 15 ordered p-values
const PAPER = [
  0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719, 0.6528,
  0.759, 1,
];

describe("withDiscoveries", () => {
  it("rejects 4 of the paper's 15 at 0.05, where Bonferroni rejects 3", () => {
    expect(kept(PAPER, 0.05)).toBe(4);
    expect(PAPER.filter((p) => p <= 0.05 / 15)).toHaveLength(3);
  });
  it("keeps each test's place", () => {
    const shuffled = withDiscoveries(tests([0.5, 0.0001, 0.9, 0.0004]), 0.05);
    expect(shuffled.map((t) => t.significant)).toEqual([false, true, false, true]);
  });
  it("steps up: late small p-values rescue earlier ones that miss their own limits", () => {
    expect(kept([0.02, 0.03, 0.035, 0.038, 0.049], 0.05)).toBe(5);
  });
  it("keeps none of none", () => {
    expect(withDiscoveries([], 0.05)).toEqual([]);
  });
});

describe("normalPValue", () => {
  it("is 0.05 at 1.96 on either side and 1 at 0", () => {
    expect(normalPValue(1.959964)).toBeCloseTo(0.05, 6);
    expect(normalPValue(-1.959964)).toBeCloseTo(0.05, 6);
    expect(normalPValue(0)).toBe(1);
  });
});
