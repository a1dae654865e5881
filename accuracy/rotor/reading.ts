import type { TrueOrder } from "../../simulator/truth.js";
import type { Trial } from "./trial.js";

/** Level over the floor from which a line "stands clear", dB. */
export const CLEAR_DB = 6;

/** Relative error of the median speed; infinite where none was given. */
export function offBy({ trueHz, estimate }: Trial): number {
  return estimate.medianHz === null ? Number.POSITIVE_INFINITY : Math.abs(estimate.medianHz / trueHz - 1);
}

/** Highest level of any of the lines on any axis, dB. */
export function clearestDb(orders: readonly TrueOrder[]): number {
  return Math.max(Number.NEGATIVE_INFINITY, ...orders.flatMap((o) => Object.values(o.levelDb)));
}

/** Number of a flight in its population. */
export function flight({ name }: Trial): string {
  return name.slice(name.lastIndexOf("/") + 1);
}
