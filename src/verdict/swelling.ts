import type { Mode } from "../modes/mode.js";
import type { Axis } from "../units.js";
import { excessLevel } from "./line-level.js";
import { type LineOf, lineSpan } from "./once-per-turn.js";

/** A line this many times as strong at the mode as away from it swells there; less is the line's own scatter. */
export const SWOLLEN = 1.5;
/** Frames needed on either side of the comparison. */
const LEAST_FRAMES = 6;

/**
 * How many times stronger a rotor line is at a mode than away from it: its RMS in the calm frames in which it lies
 * within the mode's half-power width (at least 4 %), over that in the frames in which it lies three times as far away.
 * This tells a mode that answers from rotors that shake as hard everywhere.
 *
 * @returns null when the line was not long enough both near and away, so that it cannot be told
 */
export function swelling(mode: Mode, axis: Axis, line: LineOf): number | null {
  const { frames } = line.measured;
  const spectrum = frames.gyro[axis];
  if (spectrum === null) return null;
  const width = Math.max(0.04, 2 * mode.dampingRatio);
  const distance = (k: number): number =>
    Math.abs((line.order * frames.speed[k]!.mean) / mode.frequencyHz - 1);
  const calm = (k: number): boolean => frames.kind[k] === "calm" && frames.speed[k]!.mean > 0;
  const rmsWhere = (keep: (k: number) => boolean): number | null => {
    const level = excessLevel(spectrum, (k) => lineSpan(k, axis, line), keep);
    return level === null || level.frames < LEAST_FRAMES ? null : level.rms;
  };
  const near = rmsWhere((k) => calm(k) && distance(k) < width);
  const away = rmsWhere((k) => calm(k) && distance(k) > 3 * width);
  return near === null || away === null || away === 0 ? null : near / away;
}

/** Whether it is known that the line does not swell at the mode. */
export function knownFlat(mode: Mode, axis: Axis, line: LineOf): boolean {
  const ratio = swelling(mode, axis, line);
  return ratio !== null && ratio < SWOLLEN;
}
