import { share } from "./row.js";

/** One answer: the confidence it was given, and whether it was right. */
export interface Answer {
  readonly confidence: number;
  readonly right: boolean;
}

const EDGES = [0, 0.5, 0.9, 0.95, 0.98, 0.99, 0.995, 1.001];

/** Share of right answers by the confidence they were given, as a Markdown table. */
export function calibrationTable(answers: readonly Answer[]): string {
  const lines = EDGES.slice(0, -1).flatMap((low, i) => {
    const inside = answers.filter(({ confidence: c }) => c >= low && c < EDGES[i + 1]!);
    if (inside.length === 0) return [];
    const mean = inside.reduce((sum, a) => sum + a.confidence, 0) / inside.length;
    const right = inside.filter((a) => a.right).length;
    return [
      `| ${low} to ${Math.min(1, EDGES[i + 1]!)} | ${mean.toFixed(3)} | ${share(right, inside.length)} |`,
    ];
  });
  return ["| confidence given | mean | right |", "| --- | --- | --- |", ...lines].join("\n");
}

/** Whether answers are right as often as they claim: not less often by more than two standard errors. */
export function holds(answers: readonly Answer[]): boolean | null {
  if (answers.length === 0) return null;
  const claimed = answers.reduce((sum, a) => sum + a.confidence, 0);
  const right = answers.filter((a) => a.right).length;
  const error = Math.sqrt(answers.reduce((sum, a) => sum + a.confidence * (1 - a.confidence), 0));
  return right >= claimed - 2 * error - 0.5;
}
