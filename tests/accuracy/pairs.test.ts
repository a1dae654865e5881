import { describe, expect, it } from "vitest";
import { straddles, wilson } from "../../accuracy/verdict/pairs.js";
import { unknown } from "../../src/verdict/reason.js";

describe("wilson(successes, of)", () => {
  it("is 0.888 to 0.978 for 95 of 100", () => {
    const [low, high] = wilson(95, 100);
    expect(low).toBeCloseTo(0.8882, 3);
    expect(high).toBeCloseTo(0.9785, 3);
  });
});

describe("straddles(reason)", () => {
  it("is whether the interval holds the limit", () => {
    const reason = { ...unknown("balance", ""), value: 1, limit: 1.1 };
    expect(straddles({ ...reason, ci95: [0.9, 1.2] })).toBe(true);
    expect(straddles({ ...reason, ci95: [0.9, 1.05] })).toBe(false);
    expect(straddles({ ...reason, ci95: null })).toBe(false);
  });
});
