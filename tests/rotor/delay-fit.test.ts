import { expect, test } from "vitest";
import { pooled } from "../../src/rotor/delay-fit.js";

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
