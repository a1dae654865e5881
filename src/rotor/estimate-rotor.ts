import type { Craft } from "../craft.js";
import type { Timeline } from "../timeline/timeline.js";
import { inferredRotor } from "./inferred.js";
import type { RotorEstimate } from "./rotor.js";
import { telemetryRotor } from "./telemetry.js";

/**
 * Where the lines of what turns are at every moment: from the motors' speed report where the log has one, else
 * inferred from throttle and spectrum, else "none". A wrong answer is worse than none.
 *
 * @param timeline one flight on a uniform clock
 * @param craft what the user told about the craft
 */
export function estimateRotor(timeline: Timeline, craft: Craft): RotorEstimate {
  return telemetryRotor(timeline, craft) ?? inferredRotor(timeline, craft);
}
