import { expect, test } from "vitest";
import { bladesFromOrders } from "../../src/rotor/blades.js";

const line = (order: number, levelDb: number, foldedShare = 0) => ({ order, levelDb, foldedShare });

test("bladesFromOrders reads the blades from a clear blade pass", () => {
  expect(bladesFromOrders([line(1, 20), line(2, 3), line(3, 15), line(6, 6)])).toBe(3);
  expect(bladesFromOrders([line(1, 20), line(2, 15), line(4, 3)])).toBe(2);
});

test("bladesFromOrders does not take four blades with a strong twice-per-turn line for two", () => {
  // Levels of simulated flights with four blades.
  expect(bladesFromOrders([line(1, 31), line(2, 14), line(4, 9)])).toBeNull();
  expect(bladesFromOrders([line(1, 25), line(2, 17), line(4, 12), line(8, 2)])).toBeNull();
});

test("bladesFromOrders leaves two blades open where four times per turn does not show", () => {
  expect(bladesFromOrders([line(1, 20), line(2, 15)])).toBeNull();
});

test("bladesFromOrders does not read a line that lies folded: another order may show there", () => {
  expect(bladesFromOrders([line(1, 17), line(6, 5, 1)])).toBeNull();
});
