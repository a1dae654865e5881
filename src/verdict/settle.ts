import type { QualityCheck, Reason } from "../result.js";
import type { ReasonId } from "./reason.js";

/**
 * What a failed check does to the reasons that rest on it. `void`: whatever was measured is not evidence. `floor`:
 * the figure is a lower bound, so "loud" stays and anything better becomes unknown. A reason not named is untouched.
 */
type Effect = "void" | "floor";
type Effects = { readonly [id in ReasonId]?: Effect | undefined };

const ALL_VOID: Effects = {
  "quiet-band": "void",
  "standing-mode": "void",
  "mode-separation": "void",
  balance: "void",
  "dterm-vibration": "void",
  "loop-oscillation": "void",
  "loop-phase": "void",
  "payload-sway": "void",
  tones: "void",
  footage: "void",
  "payload-forecast": "void",
};

const ALL_FLOOR = Object.fromEntries(Object.keys(ALL_VOID).map((id) => [id, "floor"])) as Effects;

/** The table: check that failed → reason → effect. The reasons for each row stand in docs/verdict.md. */
export const EFFECTS: Readonly<Record<string, Effects>> = {
  "gyro-present": ALL_VOID,
  airborne: ALL_VOID,
  "calm-flight": {
    ...ALL_FLOOR,
    "quiet-band": "void",
    "standing-mode": "void",
    "dterm-vibration": "void",
    footage: "void",
    "mode-separation": "void",
    "loop-oscillation": "void",
  },
  "sample-rate": { ...ALL_VOID, "dterm-vibration": "floor" },
  gaps: ALL_FLOOR,
  jitter: { ...ALL_VOID, "dterm-vibration": "floor" },
  clipping: ALL_FLOOR,
  quantisation: { ...ALL_FLOOR, "quiet-band": "void" },
  "raw-gyro": { ...ALL_FLOOR, "dterm-vibration": undefined },
  "rotor-speed": {
    "quiet-band": "void",
    "standing-mode": "void",
    "mode-separation": "void",
    balance: "void",
    "payload-sway": "void",
    "payload-forecast": "void",
  },
};

/**
 * Applies failed checks to measured reasons. Settling what is settled changes nothing.
 *
 * @param reasons as measured
 * @param quality all checks; one that failed and is not in the table makes everything but "loud" unknown
 */
export function settle(reasons: readonly Reason[], quality: readonly QualityCheck[]): Reason[] {
  const failed = quality.filter((check) => check.level === "fail");
  return reasons.map((reason) => failed.reduce(underCheck, reason));
}

function underCheck(reason: Reason, check: QualityCheck): Reason {
  const effects = Object.hasOwn(EFFECTS, check.id) ? EFFECTS[check.id]! : ALL_FLOOR;
  const effect = effects[reason.id as ReasonId];
  if (effect === undefined || reason.level === "unknown") return reason;
  if (effect === "floor" && reason.level === "loud") return reason;
  // First that it does not count: whoever reads half of it must not take the figure for an answer.
  const why = effect === "void" ? "Does not count" : "A lower bound only, does not count";
  return {
    ...reason,
    level: "unknown",
    message: `${why}, see the check "${check.id}". As measured: ${reason.message}`,
  };
}
