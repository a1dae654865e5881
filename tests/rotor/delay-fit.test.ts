import { expect, test } from "vitest";
import { pooled, unitsOf } from "../../src/rotor/delay-fit.js";

test("pooled narrows the interval of estimates that agree", () => {
  const both = pooled([
    { offset: 1, half: 1, scale: 1 },
    { offset: 1, half: 1, scale: 1 },
  ])!;
  expect(both.offset).toBeCloseTo(1, 12);
  expect(both.half).toBeCloseTo(Math.SQRT1_2, 12);
});

test("pooled widens the interval of estimates that disagree until it reaches both", () => {
  const { offset, half } = pooled([
    { offset: 0, half: 1, scale: 1 },
    { offset: 10, half: 1, scale: 1 },
  ])!;
  expect(offset).toBeCloseTo(5, 12);
  expect(half).toBeGreaterThan(5);
});

test("pooled trusts the one whose own error is the smaller where two disagree", () => {
  const { offset } = pooled([
    { offset: 0, half: 1, scale: 1 },
    { offset: 10, half: 1, scale: 0.25 },
  ])!;
  expect(offset).toBeGreaterThan(8);
});

test("pooled leaves out estimates without an interval, and is null without any", () => {
  expect(
    pooled([
      { offset: 2, half: 1, scale: 1 },
      { offset: 9, half: Number.POSITIVE_INFINITY, scale: 1 },
    ]),
  ).toEqual({ offset: 2, half: 1 });
  expect(pooled([])).toBeNull();
});

test("unitsOf lets a line swollen by a mode count by as much less, others alike whatever their power", () => {
  const block = (power: number) => ({
    hz: 100,
    low: [0.98 * power],
    mid: [power],
    high: [0.99 * power],
  });
  const units = unitsOf([block(1), block(2), block(2), block(2), block(20)], 1);
  expect(units[0]!.curvature).toBeCloseTo(0.03, 12);
  expect(units[1]!.curvature).toBeCloseTo(0.03, 12);
  expect(units[4]!.curvature).toBeCloseTo(0.003, 12);
  expect(units[4]!.slope / units[4]!.curvature).toBeCloseTo(units[0]!.slope / units[0]!.curvature, 9);
});
