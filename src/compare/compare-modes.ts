import type { Mode } from "../modes/mode.js";
import type { Interval } from "../units.js";
import type { ModeChange } from "./comparison.js";
import { normalPValue } from "./discoveries.js";
import { ASSUMED_MODE_SCATTER, PROBABLE, SURE } from "./limits.js";

/** How far the median rotor speeds of the two sides lie apart, as a share of the speed range flown; 0 when alike. */
export type SpeedOffset = number;

/**
 * Shift of a mode that both sides show, in Hz and per cent, with 95 % intervals: both intervals, an assumed scatter
 * from flight to flight, and what the mode's own drift with thrust makes of having been flown at other speeds.
 *
 * @param where `offset` between the speeds flown; `speedKnown`: both logs hold the rotors' speed, so that no line can
 *   cast a shadow that looks like a mode
 * @example shiftOf([at100Hz, at103Hz], { offset: 0, speedKnown: true }).shiftPercent // 3
 */
export function shiftOf(
  [before, after]: readonly [Mode, Mode],
  { offset, speedKnown }: { readonly offset: SpeedOffset; readonly speedKnown: boolean },
): Omit<ModeChange, "significant"> {
  const shiftHz = after.frequencyHz - before.frequencyHz;
  const drift = Math.max(Math.abs(before.driftHz ?? 0), Math.abs(after.driftHz ?? 0)) * offset;
  const scatter = ASSUMED_MODE_SCATTER * before.frequencyHz * Math.SQRT2;
  const sd = Math.hypot(sdOf(before.ci95Hz), sdOf(after.ci95Hz), scatter, drift);
  const half = 1.96 * sd;
  const percent = 100 / before.frequencyHz;
  const logDamping = Math.log(after.dampingRatio / before.dampingRatio);
  const dampingHalf = 1.96 * Math.hypot(logSd(before.dampingCi95), logSd(after.dampingCi95));
  return {
    pair: [before, after],
    shiftHz,
    ci95Hz: [shiftHz - half, shiftHz + half],
    shiftPercent: shiftHz * percent,
    ci95Percent: [(shiftHz - half) * percent, (shiftHz + half) * percent],
    dampingRatio: Math.exp(logDamping),
    dampingCi95: [Math.exp(logDamping - dampingHalf), Math.exp(logDamping + dampingHalf)],
    pValue: sure([before, after], speedKnown) ? normalPValue(shiftHz / sd) : 1,
  };
}

/**
 * A shift is claimed when one flight surely shows the mode and the other probably does; where the rotors' speed is
 * not known from the logs, no second method that looked may have found nothing.
 */
function sure([a, b]: readonly [Mode, Mode], speedKnown: boolean): boolean {
  const confidence = [a.confidence, b.confidence].sort((x, y) => x - y) as [number, number];
  if (!speedKnown && (a.agreement === "one" || b.agreement === "one")) return false;
  return confidence[0] >= PROBABLE && confidence[1] >= SURE;
}

function sdOf([low, high]: Interval): number {
  return (high - low) / 2 / 1.96;
}

function logSd([low, high]: Interval): number {
  return low > 0 ? Math.log(high / low) / 2 / 1.96 : 1;
}
