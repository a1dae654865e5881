import type { Craft } from "../craft.js";
import type { OrderLine } from "./rotor.js";

/** Blade counts in use. */
const COUNTS = [2, 3, 4, 5, 6];
/** Blade pass must stand this far above every order that is no multiple of it, dB. */
const CLEAR_DB = 4;
/** … and this far above its own multiples: a strong one is blade pass of as many more blades, dB. */
const ABOVE_MULTIPLES_DB = 6;
/** The second multiple of two blades must show at least this, dB. */
const SECOND_DB = 1;
/** A line folded for longer than this may be another order that shows at the same place, share. */
const MOST_FOLDED = 0.5;

/**
 * Blade count from the orders found: blade pass and its multiples carry thrust ripple, the other orders above the
 * first only what imbalance and two-per-turn forces leave.
 *
 * Only clear evidence counts: blade pass beats every other order above the first by 4 dB and its own multiples by 6 dB,
 * and does not lie folded for most of the flight. Two blades are not told from a strong twice-per-turn line unless
 * four times per turn shows as well and no odd multiple does. Wrong is worse than unknown: without the second margin one answer in six was
 * wrong, most of them four blades with a strong twice-per-turn line taken for two (measured on simulated flights).
 *
 * @param orders with level above the floor, dB
 * @returns null when the evidence is not clear
 * @example bladesFromOrders([line(1, 20), line(2, 3), line(3, 15), line(6, 6)]) // 3
 */
export function bladesFromOrders(
  orders: readonly Pick<OrderLine, "order" | "levelDb" | "foldedShare">[],
): number | null {
  const fitting = COUNTS.filter((blades) => {
    const pass = orders.find((o) => o.order === blades);
    if (pass === undefined || pass.foldedShare > MOST_FOLDED) return false;
    const strongest = (among: (order: number) => boolean): number =>
      Math.max(0, ...orders.filter((o) => o.order > 1 && among(o.order)).map((o) => o.levelDb));
    const others = strongest((order) => order % blades !== 0);
    const multiples = strongest((order) => order > blades && order % blades === 0);
    return (
      pass.levelDb > others + CLEAR_DB &&
      pass.levelDb > multiples + ABOVE_MULTIPLES_DB &&
      (blades !== 2 || (multiples > SECOND_DB && others === 0))
    );
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
