import type { Craft } from "../craft.js";
import { median } from "../stats/median.js";
import type { SpeedReading, Timeline } from "../timeline/timeline.js";
import type { CleanSpeed } from "./clean-speed.js";
import { speedSummary } from "./common-speed.js";
import { chooseDivisor, type DivisorChoice } from "./divisor.js";
import { frameSpeed } from "./frame-speed.js";
import { hiddenMultiple } from "./hidden-multiple.js";
import { inferredRotor } from "./inferred.js";
import { lineMap } from "./line-map.js";
import { REPORTED_FRAMES } from "./long-frames.js";
import { polePairsOf } from "./order-arithmetic.js";
import type { SpeedTrack } from "./rotor.js";

/** Pole pairs of the most usual outrunner motor (14 poles; common practice, no source). */
const USUAL_POLE_PAIRS = 7;

/** Divided by the usual pole pairs a report below this would be of a rotor too slow to fly (common practice, no source). */
const SLOWEST_ELECTRICAL_HZ = 80;
const TAKEN_AS_MECHANICAL =
  "no line shows by how many pole pairs to divide the speed report; it is too slow to be electrical";

/** By what the report is divided, and how that is known. */
export interface Divisor {
  readonly polePairs: number;
  readonly how: string | null;
  readonly confidence: number;
  readonly sure: boolean;
  readonly doubts: readonly string[];
}

/** A track per reading. */
export function tracksOf(readings: readonly SpeedReading[], cleaned: readonly CleanSpeed[]): SpeedTrack[] {
  return readings.map((r, m) => ({ motor: r.motor, hz: cleaned[m]!.hz }));
}

/**
 * Decides by which whole number the report must be divided: what the header says, the craft file, the lines that the
 * report itself explains, the speed inferred without it; in this order, and never by a guess that is not named as one.
 *
 * @returns null when nothing tells
 */
export function decideDivisor(
  timeline: Timeline,
  craft: Craft,
  { readings, cleaned }: { readings: readonly SpeedReading[]; cleaned: readonly CleanSpeed[] },
): Divisor | null {
  const electrical = readings.find((r) => r.electrical !== null)?.electrical ?? null;
  if (electrical === false) return { polePairs: 1, how: "header", confidence: 0.99, sure: true, doubts: [] };
  const told = craft.motorPoles === undefined ? null : polePairsOf(craft.motorPoles);
  if (electrical === true && told !== null)
    return { polePairs: told, how: "craft", confidence: 0.99, sure: true, doubts: [] };
  const choice = divisorFromData(timeline, cleaned, told === null ? undefined : [1, told]);
  if (choice?.clear && told === null) {
    const polePairs = choice.divisor * hiddenMultiple(timeline, tracksOf(readings, cleaned), choice.divisor);
    return { polePairs, how: "data", confidence: 0.99, sure: true, doubts: [] };
  }
  if (choice?.clear) {
    const how = told !== null && choice.divisor === told ? "craft" : "data";
    return { polePairs: choice.divisor, how, confidence: 0.99, sure: true, doubts: [] };
  }
  const inferred = divisorFromThrottle(timeline, cleaned);
  if (inferred) return inferred;
  if (electrical === true) {
    return {
      polePairs: USUAL_POLE_PAIRS,
      how: null,
      confidence: 0.6,
      sure: false,
      doubts: [
        `the speed report is electrical and the spectrum does not show by how many pole pairs to divide; ${USUAL_POLE_PAIRS}, the most usual, is assumed: give motorPoles in the craft file`,
      ],
    };
  }
  const slow = cleaned.every((c) => median(sampleOf(c.hz)) < SLOWEST_ELECTRICAL_HZ);
  if (slow) return { polePairs: 1, how: null, confidence: 0.9, sure: true, doubts: [TAKEN_AS_MECHANICAL] };
  return null;
}

/** Where the report's own lines do not tell, the speed inferred from throttle and spectrum may. */
function divisorFromThrottle(timeline: Timeline, cleaned: readonly CleanSpeed[]): Divisor | null {
  const inferred = inferredRotor(timeline, {});
  if (inferred.medianHz === null) return null;
  const reading = speedSummary(
    cleaned.map((c, m) => ({ motor: m + 1, hz: c.hz })),
    timeline,
  );
  const ratio = (reading?.medianHz ?? Number.NaN) / inferred.medianHz;
  const polePairs = Math.round(ratio);
  if (polePairs < 1 || Math.abs(ratio / polePairs - 1) > Math.min(0.05, 0.4 / polePairs)) return null;
  return { polePairs, how: "data", confidence: inferred.confidence, sure: true, doubts: [] };
}

/** Maps that the divisor is sought on: frames long enough for slow rotors, then short enough for lively flying. */
const MAPS = [
  { frameS: 0.5, whiten: "moving" },
  { frameS: 0.25, whiten: "moving" },
  { frameS: 0.5, whiten: "standing" },
] as const;

function divisorFromData(
  timeline: Timeline,
  cleaned: readonly CleanSpeed[],
  candidates?: readonly number[],
): DivisorChoice | null {
  let best: DivisorChoice | null = null;
  for (const { frameS, whiten } of MAPS) {
    const map = lineMap(timeline, { frameS, frames: REPORTED_FRAMES, whiten, clip: [-0.5, 4] });
    if (!map) continue;
    const choice = chooseDivisor(
      map,
      cleaned.map((c) => frameSpeed(c.hz, map.grid)),
      candidates,
    );
    if (choice?.clear) return choice;
    if (choice && choice.lead > (best?.lead ?? 0)) best = choice;
  }
  return best;
}

/** A few thousand values spread over a track. */
function sampleOf(hz: Float32Array): Float32Array {
  const stride = Math.max(1, Math.floor(hz.length / 4000));
  return Float32Array.from({ length: Math.ceil(hz.length / stride) }, (_, i) => hz[i * stride]!);
}
