import type { Interval } from "../units.js";
import type { AnswerInput } from "./answers.js";
import type { ComparedFlight } from "./compared-flight.js";
import type { Answer } from "./comparison.js";

/** Two-sided 1 % point of the normal law: filtering is claimed to differ on stronger evidence than an interval. */
const SURE = 2.576;
/** Differences of delay below this matter to nobody, ms. */
const LEAST_MS = 0.1;

interface Delay {
  readonly ms: number;
  readonly sd: number;
  readonly path: "from raw gyro to D-term" | "from raw to filtered gyro";
}

/** Does the filtering delay more or less than before? */
export function filteringAnswer({ before, after }: AnswerInput): Answer {
  const question = "filtering";
  const [one, two] = [before, after].map(delaysOf) as [Delay[], Delay[]];
  const pair = one.flatMap((a) => two.filter((b) => b.path === a.path).map((b) => [a, b] as const))[0];
  if (pair === undefined) {
    const sentence = "The filters' delay cannot be compared: both logs must hold raw and filtered signals.";
    return { question, finding: "cannot tell", sentence };
  }
  const [a, b] = pair;
  const differs = Math.abs(b.ms - a.ms) > Math.max(LEAST_MS, SURE * Math.hypot(a.sd, b.sd));
  const says = `${a.ms.toFixed(2)} ms before, ${b.ms.toFixed(2)} ms after, ${a.path}`;
  if (!differs) {
    return { question, finding: "no difference", sentence: `The filters' delay is the same: ${says}.` };
  }
  const less = b.ms < a.ms;
  const finding = less ? "better" : "worse";
  return { question, finding, sentence: `The filters delay ${less ? "less" : "more"}: ${says}.` };
}

function delaysOf({ filters }: ComparedFlight): Delay[] {
  if (filters === null) return [];
  const { delayMs, ci95Ms, gyroDelayMs, gyroCi95Ms } = filters.own;
  return [
    ...delay(delayMs, ci95Ms, "from raw gyro to D-term"),
    ...delay(gyroDelayMs, gyroCi95Ms, "from raw to filtered gyro"),
  ];
}

function delay(ms: number | null, ci95: Interval | null, path: Delay["path"]): Delay[] {
  return ms === null || ci95 === null ? [] : [{ ms, sd: (ci95[1] - ci95[0]) / 2 / 1.96, path }];
}
