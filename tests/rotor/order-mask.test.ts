import { expect, it } from "vitest";
import { noRotor } from "../../src/rotor/none.js";
import { orderMask } from "../../src/rotor/order-mask.js";
import type { OrderLine, RotorEstimate } from "../../src/rotor/rotor.js";

const GRID = {
  sampleRate: 1000,
  segmentLength: 1000,
  bins: 501,
  starts: Int32Array.from({ length: 20 }, (_, k) => 500 * k),
};

/** One rotor at a steady speed, with the orders that stood out. */
function steadyRotor(hz: number, orders: readonly number[]): RotorEstimate {
  const line = (order: number): OrderLine => ({ order, levelDb: 12, halfWidth: 0 }) as OrderLine;
  return {
    ...noRotor([]),
    source: "telemetry",
    bandHz: [hz, hz],
    tracks: [{ motor: 1, hz: new Float32Array(11000).fill(hz) }],
    orders: orders.map(line),
  };
}

/** Share of frames in which a frequency is masked. */
function masked(rotor: RotorEstimate, hz: number): number {
  const mask = orderMask(GRID as never, rotor);
  return GRID.starts.reduce((sum, _, k) => sum + mask[k * GRID.bins + hz]!, 0) / GRID.starts.length;
}

it("orderMask hides the bins of an order that stood out, in every frame of a steady flight", () => {
  expect(masked(steadyRotor(80, [1, 2]), 80)).toBe(1);
  expect(masked(steadyRotor(80, [1, 2]), 160)).toBe(1);
});

it("orderMask does not let an order that never stood out hide a bin in every frame", () => {
  expect(masked(steadyRotor(80, [1]), 160)).toBe(0);
  expect(masked(steadyRotor(80, [1]), 80)).toBe(1);
});
