import type { Craft } from "../craft.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { Timeline } from "../timeline/timeline.js";
import type { MergedMode } from "./merge.js";
import type { ModeKind } from "./mode.js";
import { onLine } from "./on-line.js";
import type { ResolutionBank } from "./resolution-bank.js";

/** What a mode's kind is judged on. */
export interface KindEvidence {
  readonly timeline: Timeline;
  readonly rotor: RotorEstimate;
  readonly craft: Craft;
  readonly bank: ResolutionBank;
}

/** A structure is claimed from this confidence on. */
export const STRUCTURE_CONFIDENCE = 0.75;

/** Kind of a mode by the evidence for it. */
export function kindOf(mode: MergedMode, confidence: number, evidence: KindEvidence): ModeKind {
  const { rotor, bank, timeline } = evidence;
  if (confidence < STRUCTURE_CONFIDENCE) return "unresolved";
  const proven = mode.seen.some((m) => m.persistence.inFavour >= 2 && m.persistence.against === 0);
  if (rotor.source === "none" && (bank.base.classes === null || !proven)) return "unresolved";
  if (rotor.source === "inferred" && onLine(mode.frequencyHz, rotor, timeline.sampleRate))
    return "unresolved";
  const lowest = rotor.bandHz?.[0] ?? Number.POSITIVE_INFINITY;
  if (mode.frequencyHz < 40 && mode.frequencyHz < 0.6 * lowest) return "payload";
  return "structure";
}
