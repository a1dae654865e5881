import { callAnswer } from "./answer-call.js";
import { filteringAnswer } from "./answer-filtering.js";
import { levelAnswer, motorsAnswer, orderAnswer } from "./answer-levels.js";
import { firstModeAnswer, modesAnswer } from "./answer-modes.js";
import type { Obstacles } from "./comparable.js";
import type { ComparedFlight } from "./compared-flight.js";
import type { Answer } from "./comparison.js";
import type { Measured } from "./measure-change.js";

/** What an answer may look at. */
export interface AnswerInput {
  readonly before: ComparedFlight;
  readonly after: ComparedFlight;
  readonly measured: Measured;
  readonly hindered: Obstacles;
}

/** One sentence per question, in the order in which a builder asks them. */
export function answers(input: AnswerInput): Answer[] {
  return [
    levelAnswer(input),
    orderAnswer(input),
    motorsAnswer(input),
    firstModeAnswer(input),
    modesAnswer(input),
    filteringAnswer(input),
    callAnswer(input),
  ];
}
