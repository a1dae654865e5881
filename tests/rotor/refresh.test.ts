import { expect, test } from "vitest";
import { randomStream } from "../../simulator/random.js";
import { refreshRows } from "../../src/rotor/refresh.js";

/** A slowly wandering speed, read every `period` rows, rounded to `step`. */
function report(period: number, step: number): { at: Int32Array; hz: Float64Array } {
  const random = randomStream(5, `period ${period}`);
  const at: number[] = [];
  const hz: number[] = [];
  let speed = 100;
  let held = Number.NaN;
  for (let row = 0; row < 20000; row++) {
    speed += 0.01 * random.normal();
    if (Math.floor(row / period) === Math.floor((row - 1) / period)) continue;
    const reading = Math.round(speed / step) * step;
    if (reading === held) continue;
    at.push(row);
    hz.push(reading);
    held = reading;
  }
  return { at: Int32Array.from(at), hz: Float64Array.from(hz) };
}

test("refreshRows finds the rhythm of a calm report that often repeats its value", () => {
  for (const period of [2, 3.2, 8, 20]) {
    const { at, hz } = report(period, 0.05);
    expect(refreshRows(at, hz, 0.05) / period).toBeCloseTo(1, 1.5);
  }
});

test("refreshRows sees a report that is fresh in every row as such", () => {
  const { at, hz } = report(1, 0.05);
  expect(refreshRows(at, hz, 0.05)).toBeLessThan(1.3);
});
