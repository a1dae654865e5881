import { expect, test } from "vitest";
import { type OrderProfile, ordersOf } from "../../src/rotor/order-profile.js";

/** A profile over ratios 0.3 … 8.5 with hills of 0.4, a narrow line where asked, and a little scatter. */
function hilly(lines: Readonly<Record<number, number>>): OrderProfile {
  const ratio = Float64Array.from({ length: 821 }, (_, i) => 0.3 + 0.01 * i);
  const level = ratio.map((r, i) => {
    const line = Object.entries(lines).reduce(
      (sum, [order, height]) => sum + height * Math.max(0, 1 - Math.abs(r - Number(order)) / 0.08),
      0,
    );
    return 0.2 * Math.cos((2 * Math.PI * r) / 2.3) + line + 0.02 * Math.sin(37 * i);
  });
  const noise = 1.4826 * [...level].map(Math.abs).sort((a, b) => a - b)[410]!;
  return { ratio, level, noise };
}

const orders = (profile: OrderProfile, reported: boolean): number[] =>
  ordersOf(profile, reported).map((o) => o.order);

test("ordersOf finds a narrow line of reported speeds among hills that hide it otherwise", () => {
  const profile = hilly({ 1: 2, 4: 0.4 });
  expect(orders(profile, true)).toEqual([1, 4]);
  expect(orders(profile, false)).toEqual([1]);
});

test("ordersOf takes no hill for a line of reported speeds", () => {
  expect(orders(hilly({ 1: 2 }), true)).toEqual([1]);
  expect(orders(hilly({ 1: 2, 4.15: 0.6 }), true)).toEqual([1]);
});
