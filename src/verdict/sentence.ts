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
  const because = (level: Reason["level"]): string => subjects(reasons.filter((r) => r.level === level));
  switch (call) {
    case "loud":
      return `Loud: ${because("loud")} over the limit.`;
    case "marginal":
      return `Marginal: ${because("marginal")} near or over a first limit, nothing over the second.`;
    case "quiet":
      return "Quiet: nothing that was measured is over a limit.";
    case "undetermined":
      return `Undetermined: this log cannot say. ${undeterminedBy(reasons, quality)}`;
  }
}

/** What stands in the way: the first failed check, else the first required reason that is unknown. */
function undeterminedBy(reasons: readonly Reason[], quality: readonly QualityCheck[]): string {
  const failed = quality.find((check) => check.level === "fail");
  const unknown = reasons.find((reason) => reason.required && reason.level === "unknown");
  return (failed ?? unknown)?.message ?? "Nothing that the call needs could be measured.";
}

function subjects(reasons: readonly Reason[]): string {
  const names = [...new Set(reasons.map((r) => SUBJECT[r.id] ?? r.id))];
  const last = names.pop() ?? "";
  return names.length === 0 ? last : `${names.join(", ")} and ${last}`;
}
