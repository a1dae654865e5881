import { expect, test } from "vitest";
import { sharesFigure, wilson } from "../../accuracy/shares-figure.js";

test("wilson gives the score interval of a share", () => {
  // SciPy 1.10.1, scipy.stats.binomtest(9, 10).proportion_ci(method="wilson"); symmetric about the complement.
  const [low, high] = wilson(9, 10);
  expect(low).toBeCloseTo(0.5958, 3);
  expect(high).toBeCloseTo(0.9821, 3);
  expect(wilson(1, 10)[0]).toBeCloseTo(1 - high, 12);
  expect(wilson(10, 10)[1]).toBe(1);
});

test("sharesFigure draws every share that was counted, with its count, and none of nothing", async () => {
  const svg = await sharesFigure("found", [
    { what: "modes", hits: 9, of: 10, target: 0.95 },
    { what: "tones", hits: 0, of: 0, target: null },
  ]);
  expect(svg).toMatch(/^<svg /);
  expect(svg).toContain("modes (10)");
  expect(svg).not.toContain("tones");
});
