import type { Craft } from "../craft.js";
import type { Timeline } from "../timeline/timeline.js";
import type { Candidate, Inference } from "./infer.js";

/** Least log rate at which a line may be attributed to a rotor. */
const LEAST_RATE = 200;
const LEAST_CONFIDENCE = 0.9;

export interface JudgedInference {
  /** null: the evidence is too weak. */
  readonly answer: Candidate | null;
  readonly confidence: number;
  readonly doubts: readonly string[];
}

/** Decides whether a search result may be reported. */
export function judgeInference(timeline: Timeline, _craft: Craft, inference: Inference): JudgedInference {
  if (timeline.sampleRate < LEAST_RATE) {
    return {
      answer: null,
      confidence: 0,
      doubts: [
        `log rate ${timeline.sampleRate.toFixed(0)} Hz is too low to attribute any line to the rotors`,
      ],
    };
  }
  const { best, rivals } = inference;
  const rival = rivals[0]?.score ?? 0;
  const ratio = best.score / Math.max(0.3, rival);
  const confidence = Math.min(
    0.99,
    Math.max(0, 1 - Math.exp(-2.5 * (ratio - 0.8) * Math.min(1, best.score))),
  );
  if (best.score < 0.8 || confidence < LEAST_CONFIDENCE - 0.3) {
    return {
      answer: null,
      confidence,
      doubts: ["no moving line stands out clearly enough to tell the rotors' speed"],
    };
  }
  return { answer: best, confidence, doubts: [] };
}
