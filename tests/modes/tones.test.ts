import { describe, expect, it } from "vitest";
import { binomialTail } from "../../src/modes/tones.js";

describe("binomialTail(n, k, p)", () => {
  it("is the chance of k or more: two coins show a head three times in four", () => {
    expect(binomialTail(2, 1, 0.5)).toBeCloseTo(0.75, 12);
    expect(binomialTail(10, 0, 0.3)).toBeCloseTo(1, 12);
    expect(binomialTail(3, 3, 0.2)).toBeCloseTo(0.008, 12);
  });
});
