import { levelAlong } from "./along.js";
import type { LineMap } from "./line-map.js";

/** Largest number of pole pairs tried. */
const MOST = 30;
const COMB_ORDERS = [1, 2, 3, 4, 5, 6];
/** A winner needs this level on its lines, and this lead over the runner-up, natural log units. */
const LEAST_LEVEL = 0.25;
const CLEAR_LEAD = 0.5;

/** The divisor that puts the energy on the lines, and how sure. */
export interface DivisorChoice {
  readonly divisor: number;
  /** Lead of the best divisor's score over the runner-up's, as a share of the best, 0..1. */
  readonly lead: number;
  readonly clear: boolean;
}

/**
 * Decides by which whole number the reported speed must be divided to become the rotor's.
 *
 * For a trial divisor the mean level along orders 1 to 6 of every motor is read. The right one has its first order
 * in evidence; half of the true speed has energy on even orders only, twice has it at half orders, which the
 * candidate 2n explains and n does not.
 *
 * @param map levels
 * @param readings speed as read at the map's frames, Hz, one array per motor
 * @param candidates default 1..30
 */
export function chooseDivisor(
  map: LineMap,
  readings: readonly Float64Array[],
  candidates: readonly number[] = Array.from({ length: MOST }, (_, i) => i + 1),
): DivisorChoice | null {
  const scored = candidates
    .map((divisor) => ({ divisor, ...scoreOf(map, readings, divisor) }))
    .sort((a, b) => b.score - a.score);
  const best = scored[0];
  if (!best || best.first < LEAST_LEVEL) return null;
  const second = scored[1]?.score ?? 0;
  const lead = Math.min(1, Math.max(0, 1 - Math.max(0, second) / best.score));
  return { divisor: best.divisor, lead, clear: best.score - Math.max(0, second) > CLEAR_LEAD };
}

/** Mean level of order 1 plus a third of the higher ones; nothing where the first is faint beside the others. */
function scoreOf(
  map: LineMap,
  readings: readonly Float64Array[],
  divisor: number,
): { first: number; score: number } {
  const levels = COMB_ORDERS.map(
    (order) => readings.reduce((sum, hz) => sum + levelAlong(map, hz, order / divisor), 0) / readings.length,
  );
  const first = levels[0]!;
  const highest = Math.max(...levels.slice(1));
  const higher = levels.slice(1).reduce((sum, v) => sum + Math.max(v, -0.1), 0);
  return { first, score: first > 0.3 * highest ? first + 0.35 * higher : Math.min(0, first) };
}
