import { median } from "../stats/median.js";
import { levelAlong } from "./along.js";
import type { LineMap } from "./line-map.js";

const FROM = 0.3;
const TO = 8.5;
const STEP = 0.01;
/** Half-width, as a share of the order, in which a line may lie off its whole multiple. */
const OFF = 0.06;
const WIDEST = 0.16;
const NARROWEST = 0.03;
/**
 * A line of reported speeds lies within this share of its whole multiple and stands out of what lies within this many
 * orders beside it.
 */
const REPORTED_OFF = 0.005;
const BESIDE = 0.3;
/**
 * … by so many robust deviations of the profile less its running median, and at least by this much, natural log units.
 * On simulated flights chance and crossing orders reach 4.1; half of the lines of 6 dB and more that the whole profile
 * hides reach it.
 */
const REPORTED_DEVIATIONS = 4.5;
const REPORTED_LEAST = 0.1;

/** Mean level over the flight at every multiple of rotor speed: lines that turn show as peaks at whole numbers. */
export interface OrderProfile {
  readonly ratio: Float64Array;
  /** Natural log units from the median of the profile. */
  readonly level: Float64Array;
  /** Robust standard deviation of the profile where there is no line. */
  readonly noise: number;
}

/**
 * The profile of one or several speed tracks (levels averaged over tracks).
 *
 * @param map levels
 * @param tracks rotor frequency at the map's frames, Hz
 */
export function orderProfile(map: LineMap, tracks: readonly Float64Array[]): OrderProfile {
  const count = Math.round((TO - FROM) / STEP) + 1;
  const ratio = Float64Array.from({ length: count }, (_, i) => FROM + i * STEP);
  const level = ratio.map((r) => tracks.reduce((sum, hz) => sum + levelAlong(map, hz, r), 0) / tracks.length);
  const middle = median(level);
  for (let i = 0; i < count; i++) level[i] = level[i]! - middle;
  const noise = 1.4826 * median(level.map(Math.abs));
  return { ratio, level, noise };
}

/** Highest point of the profile within ±`off` of a ratio. */
export function peakNear(
  profile: OrderProfile,
  ratio: number,
  off = OFF,
): { readonly index: number; readonly level: number } {
  const [from, to] = [indexOf(ratio * (1 - off)), indexOf(ratio * (1 + off))];
  let index = from;
  for (let i = from; i <= to; i++) if (profile.level[i]! > profile.level[index]!) index = i;
  return { index, level: profile.level[index]! };
}

function indexOf(ratio: number): number {
  const last = Math.round((TO - FROM) / STEP);
  return Math.min(last, Math.max(0, Math.round((ratio - FROM) / STEP)));
}

/** An order with evidence in the profile. */
export interface ProfileOrder {
  readonly order: number;
  readonly level: number;
  /** Half-width as a share of the line's frequency. */
  readonly halfWidth: number;
}

/**
 * Whole orders 1..8 that stand out of the profile.
 *
 * Where every motor's speed is reported, lines are narrow, and one that stands out of what lies beside it counts too:
 * other motors' lines and, in a log that folds, other orders make hills in the profile that its overall scatter takes
 * for noise.
 *
 * @param reported the profile is that of reported speeds
 */
export function ordersOf(profile: OrderProfile, reported = false): ProfileOrder[] {
  const least = Math.max(0.15, 4 * profile.noise);
  const narrow = reported ? narrowLines(profile) : null;
  const found: ProfileOrder[] = [];
  for (let order = 1; order <= 8; order++) {
    const { index, level } = peakNear(profile, order);
    const beside = narrow === null ? 0 : peakNear(narrow, order, REPORTED_OFF).level;
    const stands = narrow !== null && beside > Math.max(REPORTED_LEAST, REPORTED_DEVIATIONS * narrow.noise);
    if (level > least) found.push({ order, level, halfWidth: halfWidthAt(profile, index, order) });
    else if (stands) found.push({ order, level: beside, halfWidth: NARROWEST });
  }
  return evenedWidths(found);
}

/** The profile less its running median. */
function narrowLines({ ratio, level }: OrderProfile): OrderProfile {
  const half = Math.round(BESIDE / STEP);
  const above = level.map((v, i) => v - median(level.slice(Math.max(0, i - half), i + half + 1)));
  return { ratio, level: above, noise: 1.4826 * median(above.map(Math.abs)) };
}

/** Walks outward from a peak to where the profile has sunk to the noise. */
function halfWidthAt(profile: OrderProfile, index: number, order: number): number {
  const edge = Math.max(0.08 * profile.level[index]!, 1.5 * profile.noise, 0.06);
  let [low, high] = [index, index];
  while (low > 0 && profile.level[low]! > edge) low--;
  while (high < profile.level.length - 1 && profile.level[high]! > edge) high++;
  const half = Math.max(order - profile.ratio[low]!, profile.ratio[high]! - order);
  return Math.min(WIDEST, Math.max(NARROWEST, half / order));
}

/** Every order gets at least 0.7 of the first one's width: the speeds spread by the same share on all. */
function evenedWidths(found: readonly ProfileOrder[]): ProfileOrder[] {
  const first = found.find((o) => o.order === 1)?.halfWidth ?? NARROWEST;
  return found.map((o) => ({ ...o, halfWidth: Math.max(o.halfWidth, 0.7 * first) }));
}
