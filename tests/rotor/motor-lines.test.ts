import { expect, test } from "vitest";
import type { LineMap } from "../../src/rotor/line-map.js";
import { middleOfMotors } from "../../src/rotor/motor-lines.js";
import { recentre } from "../../src/rotor/recentre.js";
import { secondGrid } from "./line-grid.js";

const FRAMES = 60;
const grid = secondGrid(FRAMES, 400);
const BINS = grid.bins;

/** Four motors that sweep over 60 … 100 Hz, each a little apart by its own command. */
const curve = [0, 1, 2, 3].map((m) =>
  Float64Array.from(
    { length: FRAMES },
    (_, k) => 80 + 20 * Math.sin(k / 9) + 2 * Math.sin(k / 4 + (m * Math.PI) / 2),
  ),
);

/** Lines of triangular shape in ln power at the motors' ratios to the curve, with skirts that widen with height. */
function mapOf(ratios: readonly number[], heights: readonly number[]): LineMap {
  const level = new Float32Array(FRAMES * BINS);
  curve.forEach((hz, m) => {
    for (let k = 0; k < FRAMES; k++) {
      for (let b = 0; b < BINS; b++) {
        const high = heights[m]! - 2 * Math.abs(b - hz[k]! * ratios[m]!);
        level[k * BINS + b] = Math.max(level[k * BINS + b]!, high);
      }
    }
  });
  return { grid, level, lowestHz: 7, axes: 3 };
}

test("middleOfMotors is not led by the loudest motor, whose skirts widen its side of the lines", () => {
  const ratios = [0.97, 1.07, 0.95, 1.01];
  const map = mapOf(ratios, [4, 8, 4, 4]);
  const { ratio: start } = recentre(map, curve);
  expect(start).toBeGreaterThan(1.02);
  const middle = middleOfMotors(map, curve, { orders: [1], start });
  expect(Math.abs(middle - 1)).toBeLessThan(0.008);
});

test("middleOfMotors puts motors that turn alike on one line", () => {
  const map = mapOf([1.03, 1.03, 1.03, 1.03], [4, 4, 4, 4]);
  const middle = middleOfMotors(map, curve, { orders: [1], start: 1 });
  expect(Math.abs(middle - 1.03)).toBeLessThan(0.01);
});
