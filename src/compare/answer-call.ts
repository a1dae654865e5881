import type { Reason } from "../result.js";
import type { AnswerInput } from "./answers.js";
import type { Answer } from "./comparison.js";
import { list } from "./words.js";

const RANK = { quiet: 0, marginal: 1, loud: 2 } as const;

/** Did the call change, and for which reasons? The call is about each flight as it was flown. */
export function callAnswer({ before, after }: AnswerInput): Answer {
  const question = "call";
  const [was, is] = [before.verdict.call, after.verdict.call];
  const changed = list(changedReasons(before.verdict.reasons, after.verdict.reasons));
  const why = changed === "" ? "" : ` Reasons that changed: ${changed}.`;
  if (was === "undetermined" || is === "undetermined") {
    const sentence = was === is ? "Both calls are undetermined." : `The call was ${was} and is ${is}.`;
    return { question, finding: "cannot tell", sentence: sentence + why };
  }
  if (was === is) return { question, finding: "no difference", sentence: `The call stays ${is}.${why}` };
  const finding = RANK[is] < RANK[was] ? "better" : "worse";
  return { question, finding, sentence: `The call went from ${was} to ${is}.${why}` };
}

/** "quiet-band on roll: marginal → ok" for every reason whose level changed. */
function changedReasons(before: readonly Reason[], after: readonly Reason[]): string[] {
  return after.flatMap((reason) => {
    const same = before.find((r) => r.id === reason.id && r.axis === reason.axis);
    if (same === undefined || same.level === reason.level) return [];
    const where = reason.axis === null ? "" : ` on ${reason.axis}`;
    return [`${reason.id}${where} (${same.level} → ${reason.level})`];
  });
}
