import type { Craft } from "../craft.js";
import type { OrderLine } from "./rotor.js";

/** Blade counts in use. */
const COUNTS = [2, 3, 4, 5, 6];
/** Blade pass must stand this far above every order that is no multiple of it, dB. */
const CLEAR_DB = 4;
/** … and its second multiple must show at least this, dB. */
const SECOND_DB = 1;

/**
 * Blade count from the orders found: blade pass and its multiples carry thrust ripple, the other orders above the
 * first only what imbalance and two-per-turn forces leave.
 *
 * Only clear evidence counts: blade pass of at least three blades that beats every other order above the first by
 * 4 dB. Two blades are not told from a strong twice-per-turn line unless four times per turn shows as well and three
 * times does not.
 *
 * @param orders with level above the floor, dB
 * @returns null when the evidence is not clear
 * @example bladesFromOrders([line(1, 20), line(2, 3), line(3, 15), line(6, 6)]) // 3
 */
export function bladesFromOrders(orders: readonly Pick<OrderLine, "order" | "levelDb">[]): number | null {
  const level = (order: number): number => orders.find((o) => o.order === order)?.levelDb ?? 0;
  const fitting = COUNTS.filter((blades) => {
    const others = orders.filter((o) => o.order > 1 && o.order % blades !== 0).map((o) => o.levelDb);
    const strongest = Math.max(0, ...others);
    const needsSecond = blades === 2;
    return level(blades) > strongest + CLEAR_DB && (!needsSecond || level(2 * blades) > SECOND_DB);
  });
  return fitting.length === 1 ? fitting[0]! : null;
}

/** Blades as the craft file says, else from the orders, else unknown. */
export function bladesOf(
  craft: Craft,
  orders: readonly OrderLine[],
): { blades: number | null; bladesHow: "craft" | "data" | null } {
  if (craft.blades !== undefined) return { blades: craft.blades, bladesHow: "craft" };
  const blades = bladesFromOrders(orders);
  return { blades, bladesHow: blades === null ? null : "data" };
}
