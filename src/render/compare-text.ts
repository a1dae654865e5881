import { Chalk, type ChalkInstance } from "chalk";
import type { Answer, Comparison, Finding } from "../compare/comparison.js";
import { cleanText } from "../text/clean-text.js";
import { cell, fitColumns, wrapColumns } from "../text/columns.js";
import { toAscii } from "../text/escape.js";

export interface CompareTextOptions {
  readonly colour: boolean;
  /** false: ASCII only. */
  readonly unicode: boolean;
  /** Where the page is; null when none was written. */
  readonly pagePath: string | null;
  /** Everything in full length. */
  readonly verbose: boolean;
}

const WIDTH = 80;
/** Lines of the short form: it fits a terminal of 24 × 80 with the prompt. */
const LINES = 23;
const LABEL = 15;
const MOST_LINES = 2;

const PAINT: Readonly<Record<Finding, (chalk: ChalkInstance) => ChalkInstance>> = {
  better: (c) => c.bold.cyan,
  worse: (c) => c.bold.red,
  mixed: (c) => c.bold.yellow,
  changed: (c) => c.bold.yellow,
  "no difference": (c) => c.bold,
  "cannot tell": (c) => c.bold.magenta,
};

/** The comparison as text, ending in a line feed: at most 24 lines of 80 columns, longer under `verbose`. */
export function renderCompareText(comparison: Comparison, options: CompareTextOptions): string {
  const chalk = new Chalk({ level: options.colour ? 1 : 0 });
  const plain = (text: string): string => cleanText(text, 2000);
  const most = options.verbose ? Number.POSITIVE_INFINITY : MOST_LINES;
  const head = headLines(comparison, plain);
  const body = comparison.comparable
    ? comparison.answers.flatMap((answer) => answerLines(answer, { chalk, plain, most }))
    : refusalLines(comparison, { chalk, plain, most });
  const foot = footLines(comparison, options, plain);
  const lines = [...head, "", ...body, "", ...foot];
  const text = (options.verbose ? lines : lines.slice(0, LINES)).join("\n");
  return `${options.unicode ? text : toAscii(text)}\n`;
}

type Plain = (text: string) => string;

function headLines({ flights, settings }: Comparison, plain: Plain): string[] {
  const name = (side: "before" | "after"): string => {
    const own = flights.filter((f) => f.side === side);
    const more = own.length > 1 ? ` and ${own.length - 1} more` : "";
    const [first, last] = [own[0]!, own.at(-1)!];
    return `${plain((side === "before" ? first : last).file)}${more}`;
  };
  const by =
    settings.matchedBy === null || settings.matchedBy === "nothing" ? "" : `, at equal ${settings.matchedBy}`;
  return [
    fitColumns(`${cell("before", LABEL)}${name("before")}`, WIDTH),
    fitColumns(`${cell("after", LABEL)}${name("after")}${by}`, WIDTH),
  ];
}

interface Style {
  readonly chalk: ChalkInstance;
  readonly plain: Plain;
  readonly most: number;
}

function answerLines({ finding, sentence }: Answer, { chalk, plain, most }: Style): string[] {
  const lines = wrapColumns(plain(sentence), WIDTH - LABEL);
  const kept = lines.slice(0, most);
  if (lines.length > kept.length) {
    kept[kept.length - 1] = fitColumns(`${kept.at(-1)} ${lines[kept.length]}`, WIDTH - LABEL);
  }
  return kept.map(
    (line, i) => (i === 0 ? PAINT[finding](chalk)(cell(finding, LABEL)) : cell("", LABEL)) + line,
  );
}

function refusalLines({ refusals }: Comparison, style: Style): string[] {
  const answers = refusals.map(
    (why) => ({ question: "call", finding: "cannot tell", sentence: `${why}.` }) as const,
  );
  return [
    "These flights cannot be compared:",
    ...answers.slice(0, 5).flatMap((a) => answerLines(a, { ...style, most: 4 })),
  ];
}

function footLines(
  { caveats }: Comparison,
  { pagePath, verbose }: CompareTextOptions,
  plain: Plain,
): string[] {
  const shown = verbose ? caveats : caveats.slice(0, 1);
  const notes = shown.flatMap((text, i) =>
    wrapColumns(plain(text), WIDTH - LABEL).map(
      (line, j) => cell(i === 0 && j === 0 ? "Mind" : "", LABEL) + line,
    ),
  );
  const page =
    pagePath === null ? [] : [cell("Page", LABEL) + fitColumns(plain(pagePath), WIDTH - LABEL, "start")];
  const caution = "Evidence about vibration, not a statement of airworthiness.";
  return [...notes, ...page, cell("Caution", LABEL) + caution];
}
