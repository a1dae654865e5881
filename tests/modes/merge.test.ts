import { expect, it } from "vitest";
import type { AxisMode } from "../../src/modes/axis-mode.js";
import { mergeAxes } from "../../src/modes/merge.js";

/** What merging reads of a mode on one axis. */
function on(axis: number, frequencyHz: number, drop: number): AxisMode {
  const known = {
    axis,
    frequencyHz,
    drop,
    dampingRatio: 0.02,
    sdHz: 0.3,
    sdLogDamping: 0.1,
    prominenceDb: 12,
  };
  return known as unknown as AxisMode;
}

it("mergeAxes joins the nearest first: a strong one further away does not take a mode's second axis from it", () => {
  const merged = mergeAxes([on(0, 72.2, 600), on(1, 72.6, 370), on(2, 74.8, 880)]);
  expect(merged.map((m) => m.seen.map((s) => s.axis).sort())).toEqual([[0, 1, 2]]);
});

it("mergeAxes keeps two modes of one axis apart, however close", () => {
  const merged = mergeAxes([on(0, 72, 600), on(0, 73.5, 370), on(1, 73.4, 300)]);
  expect(merged.map((m) => m.seen.map((s) => s.axis).sort())).toEqual([[0], [0, 1]]);
  expect(merged[1]!.frequencyHz).toBeCloseTo(73.45, 2);
});
