import type { Call, QualityCheck, Reason } from "../result.js";

const SUBJECT: Readonly<Record<string, string>> = {
  "quiet-band": "the quiet band",
  "standing-mode": "a mode in the quiet band",
  "mode-separation": "a mode against the rotor bands",
  balance: "the once-per-turn shaking",
  "dterm-vibration": "the D-term",
  "loop-oscillation": "the control loop",
  "loop-phase": "a mode in reach of the control loop",
  "payload-sway": "the payload's sway",
  tones: "a fixed tone",
  footage: "what a camera would see",
  "payload-forecast": "the payload to come",
};

/** The call in one sentence, with what it rests on. */
export function callSentence(
  call: Call,
  reasons: readonly Reason[],
  quality: readonly QualityCheck[],
): string {
  const because = (level: Reason["level"], required: boolean): string =>
    subjects(reasons.filter((r) => r.level === level && (!required || r.required)));
  switch (call) {
    case "loud":
      return `Loud: ${because("loud", false)} over the limit.`;
    case "marginal":
      return `Marginal: ${because("marginal", false)} near or over a first limit, nothing over the second.`;
    case "quiet":
      return "Quiet: nothing that was measured is over a limit.";
    case "undetermined":
      return `Undetermined: this log cannot say. ${undeterminedBy(because("unknown", true), quality)}`;
  }
}

function undeterminedBy(unknown: string, quality: readonly QualityCheck[]): string {
  const failed = quality.filter((check) => check.level === "fail");
  if (failed.length > 0) return failed[0]!.message;
  return `Not known: ${unknown || "anything that the call needs"}.`;
}

function subjects(reasons: readonly Reason[]): string {
  const names = [...new Set(reasons.map((r) => SUBJECT[r.id] ?? r.id))];
  const last = names.pop() ?? "";
  return names.length === 0 ? last : `${names.join(", ")} and ${last}`;
}
