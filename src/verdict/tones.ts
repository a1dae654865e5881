import type { Tone } from "../modes/mode.js";
import type { Reason } from "../result.js";
import { airborneSeconds } from "../timeline/timeline.js";
import { rmsRateFor } from "./footage-optics.js";
import type { Measured } from "./measured.js";
import { levelWhere } from "./quiet-band.js";
import { grade, say, straddleNote, unknown } from "./reason.js";

/** A shorter flight cannot resolve the width that tells a tone from a structure (method note, measured on simulated flights). */
const LEAST_SECONDS = 24;
/** Bins to either side that belong to a steady line. */
const LINE_BINS = 2;

/** Fixed lines too narrow for a structure: the one that moves a camera most, or one reason that there is none. */
export function toneReasons(measured: Measured): Reason[] {
  const { modes, limits, timeline } = measured;
  const graded = modes.tones.flatMap((tone) => gradeTone(tone, measured));
  const worst = graded.sort((a, b) => b.share - a.share)[0];
  if (worst !== undefined) return [worst.reason];
  if (airborneSeconds(timeline) < LEAST_SECONDS) {
    const short = `The flight is too short to tell a fixed tone from a structure (${LEAST_SECONDS} s are needed).`;
    return [unknown("tones", short, { required: false })];
  }
  const message = "No fixed tone was found.";
  const none = { id: "tones", value: null, ci95: null, axis: null, required: false, message } as const;
  return [{ ...none, level: "ok", limit: limits.toneMarginalPx, unit: "px peak to peak" }];
}

function gradeTone(tone: Tone, measured: Measured): { share: number; reason: Reason }[] {
  const { frames, limits } = measured;
  const limit = rmsRateFor(limits.toneMarginalPx, tone.frequencyHz, limits.referenceFocalPx);
  const half = (LINE_BINS * frames.grid.sampleRate) / frames.grid.segmentLength;
  const band = { fromHz: Math.max(1, tone.frequencyHz - half), toHz: tone.frequencyHz + half };
  return tone.axes.flatMap((axis) => {
    const spectrum = frames.gyro[axis];
    const level = spectrum && levelWhere(spectrum, band, (k) => frames.kind[k] === "calm");
    if (!level) return [];
    const result = grade(level.rms, level.ci95, { marginal: limit });
    const source = tone.foldedFromHz === null ? "" : ` It is folded down from ${say(tone.foldedFromHz)} Hz.`;
    const reason: Reason = {
      id: "tones",
      level: result.level,
      value: level.rms,
      ci95: level.ci95,
      limit,
      unit: "deg/s RMS",
      axis,
      message:
        `A tone stands still at ${say(tone.frequencyHz)} Hz on ${axis}: ${say(level.rms)} deg/s RMS, ` +
        `limit ${say(limit)}. It is too narrow for a structure.${source}${straddleNote(result)}`,
      required: false,
    };
    return [{ share: level.rms / limit, reason }];
  });
}
