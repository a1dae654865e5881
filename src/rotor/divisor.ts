import { median } from "../stats/median.js";
import { levelAlong } from "./along.js";
import type { LineMap } from "./line-map.js";

/** Largest number of pole pairs tried. */
const MOST = 30;
const COMB_ORDERS = [1, 2, 3, 4, 5, 6, 8, 10];
/** A winner's first order needs this level, natural log units, and this many robust deviations of what is no line. */
const LEAST_LEVEL = 0.12;
const LEAST_DEVIATIONS = 6;
/** … or this share of the strongest first order: where many divisors meet lines, what is no line cannot be told. */
const STRONG_SHARE = 0.35;
/** A first order fainter than this beside the strongest of its comb is the skirt of another line. */
const LEAST_SHARE = 0.08;
/** … and its score this lead over the runner-up's, as a share. */
const LEAST_LEAD = 0.15;
/** … or this over one that divides it, whose lines are its own too. */
const LEAST_LEAD_OVER_PART = 0.25;

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
 * A trial divisor is judged by all its orders together, and only if its first one is in evidence: half of the true
 * speed has none on its first order; blade pass taken for once per turn explains fewer lines than the truth does.
 *
 * @param map levels
 * @param readings speed as read at the map's frames, Hz, one array per motor
 * @param candidates default 1..30
 * @returns null when no candidate's first order is in evidence
 */
export function chooseDivisor(
  map: LineMap,
  readings: readonly Float64Array[],
  candidates: readonly number[] = Array.from({ length: MOST }, (_, i) => i + 1),
): DivisorChoice | null {
  const levelAt = (ratio: number): number =>
    readings.reduce((sum, hz) => sum + levelAlong(map, hz, ratio), 0) / readings.length;
  const firsts = Array.from({ length: MOST }, (_, i) => levelAt(1 / (i + 1)));
  const middle = median(firsts);
  const deviation = 1.4826 * median(firsts.map((v) => Math.abs(v - middle)));
  const strong = STRONG_SHARE * (Math.max(...firsts) - middle);
  const least = Math.max(LEAST_LEVEL, Math.min(LEAST_DEVIATIONS * deviation, strong));
  const scored = candidates
    .map((divisor) => ({ divisor, levels: COMB_ORDERS.map((order) => levelAt(order / divisor) - middle) }))
    .filter(({ levels }) => levels[0]! > Math.max(least, LEAST_SHARE * Math.max(...levels)))
    .map(({ divisor, levels }) => ({ divisor, score: levels.reduce((sum, v) => sum + Math.max(0, v), 0) }))
    .sort((a, b) => b.score - a.score);
  const best = scored[0];
  if (!best) return null;
  const lead = 1 - (scored[1]?.score ?? 0) / best.score;
  const over = scored[1] !== undefined && best.divisor % scored[1].divisor === 0;
  return { divisor: best.divisor, lead, clear: lead > (over ? LEAST_LEAD_OVER_PART : LEAST_LEAD) };
}
