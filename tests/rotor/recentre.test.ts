import { expect, test } from "vitest";
import type { LineMap } from "../../src/rotor/line-map.js";
import { recentre } from "../../src/rotor/recentre.js";
import { secondGrid } from "./line-grid.js";

const FRAMES = 60;
const grid = secondGrid(FRAMES, 800);
const BINS = grid.bins;
const speed = Float64Array.from({ length: FRAMES }, (_, k) => 200 + 40 * Math.sin(k / 9));

/** Lines of ln power `height` and a few bins' width; the loudest leaves a low skirt of 15 % to either side. */
function mapOf(lines: readonly { ratio: number; height: number; skirt: number }[]): LineMap {
  const level = new Float32Array(FRAMES * BINS);
  for (let k = 0; k < FRAMES; k++) {
    for (let b = 0; b < BINS; b++) {
      for (const { ratio, height, skirt } of lines) {
        const off = Math.abs(b - speed[k]! * ratio);
        const high = Math.max(height - off, off < 0.15 * speed[k]! ? skirt : 0);
        level[k * BINS + b] = Math.max(level[k * BINS + b]!, high);
      }
    }
  }
  return { grid, level, lowestHz: 7, axes: 3 };
}

test("recentre does not count the skirts of the loudest motor's line for other motors", () => {
  const quiet = [0.96, 0.98, 1].map((ratio) => ({ ratio, height: 4, skirt: 0 }));
  const map = mapOf([...quiet, { ratio: 1.06, height: 7, skirt: 1.2 }]);
  expect(Math.abs(recentre(map, [speed]).ratio - 1)).toBeLessThan(0.04);
});
