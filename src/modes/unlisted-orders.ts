import type { OrderLine, RotorEstimate } from "../rotor/rotor.js";

/** Orders closer than this share are one line. */
const SAME_ORDER = 0.03;
const LEAST_ORDER = 0.3;
const MOST_ORDER = 12;
/** Levels are not measured here; high enough that the mask does not drop the line as faint. */
const LEVEL_DB = 10;
/** Half-width where only a common speed is known and no order tells its own. */
const COMMON_HALF_WIDTH = 0.04;

/**
 * Lines at orders that the rotor estimate does not list (belts, gears, half orders, play in a hinge), from peaks that
 * surely follow the rotors' speed.
 *
 * @param linesHz their frequencies at median speed
 * @returns lines to mask besides the listed ones; none where no speed is known
 */
export function unlistedOrders(rotor: RotorEstimate, linesHz: readonly number[]): OrderLine[] {
  const { medianHz, tracks } = rotor;
  if (medianHz === null || tracks.length === 0) return [];
  const common = tracks.every((t) => t.motor === null);
  const widest = Math.max(0, ...rotor.orders.map((o) => o.halfWidth));
  const halfWidth = common ? Math.max(COMMON_HALF_WIDTH, Math.min(widest, 2 * COMMON_HALF_WIDTH)) : 0;
  const extra: OrderLine[] = [];
  for (const hz of linesHz) {
    const order = hz / medianHz;
    if (order < LEAST_ORDER || order > MOST_ORDER) continue;
    const known = [...rotor.orders, ...extra].some((o) => Math.abs(o.order / order - 1) < SAME_ORDER);
    if (!known) extra.push({ order, levelDb: LEVEL_DB, foldedShare: 0, medianHz: hz, halfWidth });
  }
  return extra;
}
