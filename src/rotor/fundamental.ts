import { median } from "../stats/median.js";
import type { LineMap } from "./line-map.js";
import { meanLevel } from "./search.js";

/** Blade counts and multiples by which a found line may stand above once per turn. */
const DIVISORS = [2, 3, 4, 5, 6];
/** A line below the found one must stand this far over what lies beside it: natural log units, robust deviations. */
const LEAST_CONTRAST = 0.08;
const LEAST_DEVIATIONS = 5;
/**
 * A line alone at a half or a third shows a rotor of two or three blades. Further down there are few rotors, and a
 * loop that swings faster with throttle can lie there: another order that is no multiple of the found line must speak.
 */
const MOST_ALONE = 3;
const ORDERS_BELOW = [2, 3, 4, 5, 6, 7];
/** From here on such a line is suspected. */
const HINT = { contrast: 0.07, deviations: 3 } as const;
/** It must also be lost where the speeds are read at other times, by so many robust deviations; less is a hint. */
const LEAST_LOSS = 2.4;
const HINT_LOSS = 1.5;
/** Chance alone scatters a mean over some hundred frames by no less, natural log units. */
const LEAST_DEVIATION = 0.012;

/** Whether the found line is once per turn, and what speaks for it. */
export interface Fundamental {
  /** The rotor turns at the found speed over this. */
  readonly divisor: number;
  /** A divisor at which a line may stand, too faint to be sure of; 1 when there is none. */
  readonly hint: number;
  /** How far once per turn stands over what lies beside it, in robust deviations of ratios without a line. */
  readonly strength: number;
  /** The same of the strongest other order of that speed, the found line among them. */
  readonly support: number;
  /** By how much the found line's level falls when the speeds are read at other times, natural log units. */
  readonly moving: number;
}

/**
 * Tells once per turn from blade pass: the strongest moving line may be a multiple of the rotor's speed. If F is b
 * times the speed, then F / b shows a line of its own, since no rotor is balanced to nothing. It may be thirty times
 * fainter than blade pass, so it counts from what lies right beside it, and by how much ratios at which no rotor
 * has a line scatter in the same way; and it must be lost when the speeds are read at other times.
 *
 * @param map levels whitened over time or frequency
 * @param speeds tracks of the found line at the map's frames, per motor or common
 * @param blades where known: a found line whose blade pass shows is no multiple of a speed whose blade pass does not
 * @returns the smallest speed with a line of its own; divisor 1 when the found line is itself the lowest
 */
export function fundamentalOf(
  map: LineMap,
  speeds: readonly Float64Array[],
  blades: number | null = null,
): Fundamental {
  const contrast = (ratio: number): number => contrastAt(map, speeds, ratio);
  const between = OFF_ORDERS.map(contrast);
  const middle = median(between);
  const deviation = Math.max(LEAST_DEVIATION, 1.4826 * median(between.map((v) => Math.abs(v - middle))));
  const least = Math.max(LEAST_CONTRAST, LEAST_DEVIATIONS * deviation);
  const loss = lossAgainst(map, speeds);
  const passes = blades !== null && contrast(blades) > least;
  const possible = DIVISORS.filter((d) => !passes || contrast(blades! / d) > least);
  const hinted = possible.filter(
    (d) => contrast(1 / d) > Math.max(HINT.contrast, HINT.deviations * deviation) && loss(1 / d) > HINT_LOSS,
  );
  const backed = (d: number): boolean =>
    d <= MOST_ALONE || ORDERS_BELOW.some((o) => o % d !== 0 && contrast(o / d) > least);
  const shown = hinted.filter((d) => contrast(1 / d) > least && loss(1 / d) > LEAST_LOSS && backed(d));
  const divisor = slowest(shown, contrast);
  const others = [2, 3, 4, 5, 6].map((o) => contrast(o / divisor));
  return {
    divisor,
    hint: divisor === 1 ? slowest(hinted, contrast) : 1,
    strength: contrast(1 / divisor) / deviation,
    support: Math.max(0, ...others) / deviation,
    moving: best(map, speeds, 1) - best(map, atOtherTimes(speeds), 1),
  };
}

/** The largest divisor, if the others are parts of it (a line at F / 4 brings one at 2 F / 4); else the strongest. */
function slowest(shown: readonly number[], contrast: (ratio: number) => number): number {
  const largest = shown.at(-1) ?? 1;
  if (shown.every((d) => largest % d === 0)) return largest;
  return [...shown].sort((a, b) => contrast(1 / b) - contrast(1 / a))[0]!;
}

/**
 * How far the level along a ratio stands over both sides, 9 to 14 % beside it: the higher side counts, so that the
 * skirt of a neighbour is no line.
 */
function contrastAt(map: LineMap, speeds: readonly Float64Array[], ratio: number): number {
  const beside = (factors: readonly number[]): number =>
    factors.reduce((sum, w) => sum + meanLevel(map, speeds, w * ratio), 0) / factors.length;
  return best(map, speeds, ratio) - Math.max(beside([0.87, 0.885, 0.9]), beside([1.1, 1.115, 1.13]));
}

/**
 * By how much a ratio's level falls when the speeds are read at other times, in robust deviations of ratios without a
 * line: a fixed line or another order that happens to lie along a fraction is no more lost than they are.
 */
function lossAgainst(map: LineMap, speeds: readonly Float64Array[]): (ratio: number) => number {
  const wrong = atOtherTimes(speeds);
  const fall = (ratio: number): number => best(map, speeds, ratio) - best(map, wrong, ratio);
  let scale: { middle: number; deviation: number } | null = null;
  return (ratio) => {
    if (scale === null) {
      const between = OFF_ORDERS.map(fall);
      const middle = median(between);
      const scatter = 1.4826 * median(between.map((v) => Math.abs(v - middle)));
      scale = { middle, deviation: Math.max(LEAST_DEVIATION, scatter) };
    }
    return (fall(ratio) - scale.middle) / scale.deviation;
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

/** Highest level within ±1.5 % of a ratio. */
function best(map: LineMap, speeds: readonly Float64Array[], ratio: number): number {
  return Math.max(...[0.985, 1, 1.015].map((w) => meanLevel(map, speeds, w * ratio)));
}

/** Ratios below the found line at which no whole fraction of it has an order. */
const OFF_ORDERS = [0.118, 0.133, 0.148, 0.183, 0.224, 0.289, 0.365, 0.43, 0.457, 0.548, 0.57, 0.63, 0.7];
