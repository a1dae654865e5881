import type { Reason } from "../result.js";
import { AXES, type Hertz, type Interval } from "../units.js";
import { rmsRateFor } from "./footage-optics.js";
import type { Measured } from "./measured.js";
import { bladesToReckonWith, type PushBand } from "./push-bands.js";
import { levelWhere } from "./quiet-band.js";
import { say, sayRange, unknown } from "./reason.js";

/**
 * Whether a mode could have hidden in a rotor band: where the rotors' lines lie all flight long, or above Nyquist.
 *
 * @returns an unknown reason for the first band that is hidden by more than the limit; null when all can be seen
 */
export function hiddenBand(bands: readonly PushBand[], measured: Measured): Reason | null {
  const { limits, timeline, rotor } = measured;
  const nyquist = timeline.sampleRate / 2;
  const margin = limits.separationMargin;
  for (const { name, order, bandHz } of bands) {
    // A band that only a guess at the blades puts there cannot take the verdict away.
    if (rotor.blades === null && order > bladesToReckonWith(null)) continue;
    const wide: Interval = [bandHz[0] * (1 - margin), bandHz[1] * (1 + margin)];
    // In hover the lines stand still on the band itself: its free margins do not make up for that.
    const parts = rotor.hover ? [wide, bandHz] : [wide];
    const worst = parts
      .map((part) => ({ part, ...hiddenShare(part, measured) }))
      .sort((a, b) => b.share - a.share)[0]!;
    const { part, beyond, hidden, share } = worst;
    if (share <= limits.unobservableShare) continue;
    const slow = beyond > hidden;
    // Where the speed moves a hidden mode matters by its answer only, and that can be measured all the same. A hover
    // shows one speed: what the next throttle would answer it cannot tell.
    if (!slow && !(order === 1 && rotor.hover) && allStill(part, measured)) continue;
    const guessed = order > 1 && rotor.blades === null ? ` of ${order} blades` : "";
    const message =
      `${slow ? `The log's Nyquist of ${say(nyquist)} Hz and the rotors hide` : "The rotors hide"} ` +
      `${say(100 * share)} % of the ${name} band${guessed}${part === wide ? " and its margins" : ""} (${sayRange(part)} Hz) ` +
      "all flight long: " +
      `a mode there is unknown, not absent. ${slow ? "Log faster" : "Fly a slow throttle sweep"}` +
      `${guessed === "" ? "." : ", or give the number of blades in the craft file."}`;
    const figures = { value: share, limit: limits.unobservableShare, unit: "share of the band" };
    return { ...unknown("mode-separation", message), ...figures };
  }
  return null;
}

/** Whether everything in a band together, rotor lines and all, stays under the limit for the answer of one mode. */
function allStill([low, high]: Interval, { frames, limits }: Measured): boolean {
  const band = { fromHz: low, toHz: Math.min(high, frames.grid.sampleRate / 2) };
  const limit = rmsRateFor(limits.modeResponsePx, Math.sqrt(low * high), limits.referenceFocalPx);
  const levels = AXES.flatMap((axis) => {
    const spectrum = frames.gyro[axis];
    return (spectrum && levelWhere(spectrum, band, (k) => frames.kind[k] === "calm")) ?? [];
  });
  return levels.length > 0 && levels.every((level) => level.ci95[1] < limit);
}

/** Share of a band in which a mode could not have shown: under the rotors' lines, or beyond Nyquist. */
export function hiddenShare(
  [low, high]: Interval,
  { modes, timeline }: Pick<Measured, "modes" | "timeline">,
): { hidden: Hertz; beyond: Hertz; share: number } {
  const overlap = (fromHz: Hertz, toHz: Hertz): number =>
    Math.max(0, Math.min(toHz, high) - Math.max(fromHz, low));
  const hidden = modes.unobservable.reduce((sum, { fromHz, toHz }) => sum + overlap(fromHz, toHz), 0);
  const beyond = overlap(timeline.sampleRate / 2, Infinity);
  return { hidden, beyond, share: high > low ? Math.min(1, (hidden + beyond) / (high - low)) : 0 };
}
