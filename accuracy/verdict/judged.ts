import type { Craft } from "../../src/craft.js";
import { identifyModes } from "../../src/modes/identify-modes.js";
import { estimateRotor } from "../../src/rotor/estimate-rotor.js";
import type { Timeline } from "../../src/timeline/timeline.js";
import { judge } from "../../src/verdict/judge.js";
import type { Judgement } from "../../src/verdict/judge-input.js";

/** The whole pipeline after decoding, on a timeline. */
export function judgeTimeline(timeline: Timeline, craft: Craft): Judgement {
  const rotor = estimateRotor(timeline, craft);
  const modes = identifyModes(timeline, rotor, craft);
  return judge({ log: { warnings: [], rows: timeline.length }, timeline, rotor, modes, craft });
}
