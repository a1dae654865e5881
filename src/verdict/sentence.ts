import type { Call, QualityCheck, Reason } from "../result.js";

const SUBJECT: Readonly<Record<string, string>> = {
  "quiet-band": "the quiet band",
  "standing-mode": "a mode in the quiet band",
  "mode-separation": "a mode in or near a rotor band",
  balance: "the once-per-turn shaking",
  "dterm-vibration": "the D-term",
  "loop-oscillation": "the control loop",
  "loop-phase": "a mode in reach of the control loop",
  "payload-sway": "the payload's sway",
  tones: "a fixed tone",
  footage: "what a camera would see",
  "payload-forecast": "the payload to come",
};

/** What is wrong with a log whose check failed, to stand after "because". */
const UNFIT: Readonly<Record<string, string>> = {
  "gyro-present": "a gyro is missing or dead",
  "raw-gyro": "only the filtered gyro is logged",
  airborne: "it is too short",
  "calm-flight": "it holds too little unbroken calm flight",
  "sample-rate": "it is logged too slowly",
  "rotor-speed": "the rotors' speed is not known",
  gaps: "gaps break it up",
  jitter: "its clock is too uneven",
  clipping: "the gyro is cut off at its end stop",
  quantisation: "the gyro is rounded too coarsely",
};

/** The call in one short sentence, with what it rests on; the numbers stand in the reasons and checks. */
export function callSentence(
  call: Call,
  reasons: readonly Reason[],
  quality: readonly QualityCheck[],
): string {
  switch (call) {
    case "loud":
      return loudSentence(reasons.filter((r) => r.level === "loud"));
    case "marginal":
      return marginalSentence(reasons.filter((r) => r.level === "marginal"));
    case "quiet":
      return "Quiet: nothing that was measured is over a limit.";
    case "undetermined":
      return `Undetermined: this log cannot say, because ${undeterminedBy(reasons, quality)}.`;
  }
}

/** What is over its limit by its value, and what only by the worse side of its interval. */
function loudSentence(loud: readonly Reason[]): string {
  const isSure = ({ value, limit }: Reason): boolean => value === null || limit === null || value > limit;
  const sure = subjects(loud.filter(isSure));
  const named = new Set(loud.filter(isSure).map((r) => r.id));
  const maybe = subjects(loud.filter((r) => !named.has(r.id)));
  if (sure.text === "") return `Loud: ${maybe.text} may be over the limit, and the worse side counts.`;
  const over = `${sure.text} ${sure.many ? "are over their limits" : "is over its limit"}`;
  return `Loud: ${over}${maybe.text === "" ? "" : `; ${maybe.text} may be`}.`;
}

/** A craft without a quiet band has no figure in it that could be near a limit. */
function marginalSentence(marginal: readonly Reason[]): string {
  const without = "this craft has no quiet band";
  const measured = marginal.filter((r) => r.id !== "quiet-band" || r.value !== null);
  if (measured.length === 0) return `Marginal: ${without}.`;
  const { text, many } = subjects(measured);
  const lack = measured.length < marginal.length ? `; ${without}` : "";
  return `Marginal: ${text} ${many ? "are" : "is"} near or over a first limit${lack}.`;
}

/** What stands in the way: the checks that failed, else the required reasons that are unknown. */
function undeterminedBy(reasons: readonly Reason[], quality: readonly QualityCheck[]): string {
  const failed = quality
    .filter((check) => check.level === "fail")
    .map(({ id }) => UNFIT[id] ?? `the check "${id}" failed`);
  if (failed.length > 0) return listed(failed);
  const unknown = reasons.filter((reason) => reason.required && reason.level === "unknown");
  return unknown.length > 0
    ? `${subjects(unknown).text} could not be judged`
    : "nothing that the call needs could be measured";
}

function subjects(reasons: readonly Reason[]): { text: string; many: boolean } {
  const names = [...new Set(reasons.map((r) => SUBJECT[r.id] ?? r.id))];
  return { text: listed(names), many: names.length > 1 };
}

function listed(names: readonly string[]): string {
  return names.length < 2 ? names.join("") : `${names.slice(0, -1).join(", ")} and ${names.at(-1)}`;
}
