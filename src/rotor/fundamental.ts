import { median } from "../stats/median.js";
import type { LineMap } from "./line-map.js";
import { meanLevel } from "./search.js";

/** Blade counts and multiples by which a found line may stand above once per turn. */
const DIVISORS = [2, 3, 4, 5, 6];
/** A first order must stand this far out of what lies between orders: natural log units, robust deviations. */
const LEAST_LEVEL = 0.1;
const LEAST_DEVIATIONS = 5;

/** Whether the found line is once per turn, and what speaks for it. */
export interface Fundamental {
  /** The rotor turns at the found speed over this. */
  readonly divisor: number;
  /** Level of once per turn in robust deviations of what is no line. */
  readonly strength: number;
  /** Level, in the same, of the strongest order that is no multiple of another found one; 0 when only one order shows. */
  readonly support: number;
  /** By how much the found line's level falls when the speeds are read at other times, natural log units. */
  readonly moving: number;
}

/**
 * Tells once per turn from blade pass: the strongest moving line may be a multiple of the rotor's speed. If
 * F is b times the speed, then F / b shows a line of its own (imbalance), and with it the comb F / b explains lines
 * that F does not. Levels count from those along the same speeds read at other times.
 *
 * @param map levels whitened over time or frequency
 * @param speeds tracks of the found line at the map's frames, per motor or common
 * @returns the smallest speed with evidence of its own; divisor 1 when the found line is itself the lowest
 */
export function fundamentalOf(map: LineMap, speeds: readonly Float64Array[]): Fundamental {
  const wrong = atOtherTimes(speeds);
  const level = (ratio: number): number => best(map, speeds, ratio) - best(map, wrong, ratio);
  const between = OFF_ORDERS.map(level);
  const middle = median(between);
  const deviation = Math.max(0.015, 1.4826 * median(between.map((v) => Math.abs(v - middle))));
  const least = Math.max(LEAST_LEVEL, LEAST_DEVIATIONS * deviation);
  let divisor = 1;
  for (const d of DIVISORS) {
    const first = level(1 / d);
    const fresh = [2, 3, 4, 5, 6, 7].filter((o) => o % d !== 0).map((o) => level(o / d));
    const alone = first > 2 * least;
    const backed = first > least && Math.max(0, ...fresh) > least;
    if ((alone || backed) && !explainedByMultiple(d, divisor)) divisor = d;
  }
  const once = level(1 / divisor);
  const others = [2, 3, 4, 5, 6].map((o) => level(o / divisor));
  return {
    divisor,
    strength: once / deviation,
    support: Math.max(0, ...others) / deviation,
    moving: level(1),
  };
}

/** Parts of the flight by which the speeds are moved in time: a sweep that repeats must not meet itself. */
const MOVED_BY = [0.5, 0.37, 0.29, 0.21];

/**
 * The same speeds at other times of the flight, those at which they differ most: a line that turns is lost along
 * them, a structure that happens to lie there is not.
 */
function atOtherTimes(speeds: readonly Float64Array[]): Float64Array[] {
  const moved = (hz: Float64Array, by: number): Float64Array => {
    const frames = Math.floor(by * hz.length);
    return hz.map((_, k) => hz[(k + frames) % hz.length]!);
  };
  const differs = (by: number): number =>
    speeds.reduce((sum, hz) => {
      const other = moved(hz, by);
      return sum + hz.reduce((total, f, k) => total + Math.abs(Math.log(f / other[k]!)), 0);
    }, 0);
  const amounts = MOVED_BY.map(differs);
  const by = MOVED_BY[amounts.indexOf(Math.max(...amounts))] ?? MOVED_BY[0]!;
  return speeds.map((hz) => moved(hz, by));
}

/** F / 4 is only believed over F / 2 by its own line; a multiple of what is found already always shows. */
function explainedByMultiple(d: number, found: number): boolean {
  return found > 1 && found % d === 0;
}

/** Highest level within ±1.5 % of a ratio. */
function best(map: LineMap, speeds: readonly Float64Array[], ratio: number): number {
  return Math.max(...[0.985, 1, 1.015].map((w) => meanLevel(map, speeds, w * ratio)));
}

/** Ratios at which neither the found comb nor its whole fractions have lines. */
const OFF_ORDERS = [
  0.29, 0.37, 0.43, 0.46, 0.56, 0.58, 0.62, 0.71, 0.73, 0.86, 0.9, 1.12, 1.15, 1.22, 1.28, 1.36, 1.43, 1.57,
  1.63, 1.72, 1.78, 1.85,
];
