import type { Reason } from "../result.js";
import { AXES, type Hertz, type Interval } from "../units.js";
import { rmsRateFor } from "./footage-optics.js";
import type { Measured } from "./measured.js";
import { bladesToReckonWith, type PushBand } from "./push-bands.js";
import { levelWhere } from "./quiet-band.js";
import { say, sayRange, unknown } from "./reason.js";

/**
 * Whether a mode could have hidden in a rotor band: where the rotors' lines lie all flight long, or above Nyquist. How
 * much of a band a log hides is known, not estimated, so it is held against its limit as it is.
 *
 * @returns an unknown reason for the first band that is hidden by more than the limit; null when all can be seen
 */
export function hiddenBand(bands: readonly PushBand[], measured: Measured): Reason | null {
  const { limits, rotor } = measured;
  for (const band of bands) {
    // A band that only a guess at the blades puts there cannot take the verdict away.
    if (rotor.blades === null && band.order > bladesToReckonWith(null)) continue;
    const hidden = mostHidden(band, measured);
    if (hidden.share > limits.unobservableShare && !cannotMatter(band, hidden, measured))
      return hiddenReason(band, hidden, measured);
  }
  return null;
}

interface Hidden {
  readonly part: Interval;
  readonly share: number;
  /** More of it lies above Nyquist than under lines. */
  readonly slow: boolean;
  /** The part is the band with its margins. */
  readonly margins: boolean;
}

/** The band itself, or the band with its margins: free margins do not make up for lines that lie on the band. */
function mostHidden({ bandHz }: PushBand, measured: Measured): Hidden {
  const margin = measured.limits.separationMargin;
  const wide: Interval = [bandHz[0] * (1 - margin), bandHz[1] * (1 + margin)];
  const parts = [wide, bandHz].map((part) => {
    const { hidden, beyond, share } = hiddenShare(part, measured);
    return { part, share, slow: beyond > hidden, margins: part === wide };
  });
  return parts.sort((a, b) => b.share - a.share)[0]!;
}

/**
 * Where the speed moves, a hidden mode matters by its answer only, and that can be measured all the same. A hover
 * shows one speed: what the next throttle would answer it cannot tell.
 */
function cannotMatter({ order }: PushBand, { part, slow }: Hidden, measured: Measured): boolean {
  return !slow && !(order === 1 && measured.rotor.hover) && allStill(part, measured);
}

function hiddenReason(
  { name, order }: PushBand,
  { part, share, slow, margins }: Hidden,
  { limits, timeline, rotor }: Measured,
): Reason {
  const guessed = order > 1 && rotor.blades === null ? ` of ${order} blades` : "";
  const who = slow
    ? `The log's Nyquist of ${say(timeline.sampleRate / 2)} Hz and the rotors hide`
    : "The rotors hide";
  const message =
    `${who} ${say(100 * share)} % of the ${name} band${guessed}${margins ? " and its margins" : ""} (${sayRange(part)} Hz) ` +
    "all flight long: " +
    `a mode there is unknown, not absent. ${slow ? "Log faster" : "Fly a slow throttle sweep"}` +
    `${guessed === "" ? "." : ", or give the number of blades in the craft file."}`;
  const figures = { value: share, limit: limits.unobservableShare, unit: "share of the band" };
  return { ...unknown("mode-separation", message), ...figures };
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
