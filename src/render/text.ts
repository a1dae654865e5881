import { Chalk, type ChalkInstance } from "chalk";
import type { Evidence } from "../evidence.js";
import type { Call, Reason, Result } from "../result.js";
import { cleanText } from "../text/clean-text.js";
import { cell, columnsOf, fitColumns, wrapColumns } from "../text/columns.js";
import { toAscii } from "../text/escape.js";
import { AXES } from "../units.js";
import { CALL_TRACE } from "./call-mark.js";
import { duration } from "./format.js";
import { reasonText, weightiestFirst } from "./reason-order.js";
import { dtermCell, firstModeLine, quietBandCells, rotorLine, strongestLineCell } from "./summary-lines.js";
import { textSpectra } from "./text-spectrum.js";
import { verboseLines } from "./text-verbose.js";

export interface TextOptions {
  /** Columns of the terminal; lines are never longer than this, nor than 80 when not verbose. */
  readonly width?: number;
  readonly colour: boolean;
  /** false: ASCII only. */
  readonly unicode: boolean;
  /** Where the page is; null when none was written. */
  readonly reportPath: string | null;
  readonly verbose: boolean;
  /** Needed for the spectra that `verbose` adds. */
  readonly evidence?: Evidence;
}

/** Lines of the short form: it fits a terminal of 24 × 80 with the prompt. */
const LINES = 23;
/** Columns of the labels on the left. */
const LABEL = 12;

type Paint = (text: string) => string;

/**
 * The verdict as text, ending in a line feed: at most 24 lines of 80 columns, more under `verbose`. The call reads
 * as a word, so nothing is lost without colour.
 */
export function renderText(result: Result, options: TextOptions): string {
  const width = Math.max(40, Math.min(options.width ?? 80, options.verbose ? 120 : 80));
  const chalk = new Chalk({ level: options.colour ? 1 : 0 });
  const plain: Paint = (text) => (options.unicode ? cleanText(text, 2000) : toAscii(cleanText(text, 2000)));
  const top = [...heading(result, { width, chalk, plain, options })];
  const table = axisTable(result, width, plain);
  const foot = footLines(result, { width, plain, options });
  const room = options.verbose
    ? Number.POSITIVE_INFINITY
    : LINES - top.length - table.length - foot.length - 1;
  const lines = [
    ...top,
    ...table,
    "",
    ...reasonLines(result, { room, width, plain, chalk, most: options.verbose ? 99 : 2 }),
    ...foot,
  ];
  if (options.verbose) {
    lines.push(...verboseLines(result, width, plain));
    if (options.evidence)
      lines.push(...textSpectra(result, options.evidence, { width, unicode: options.unicode }));
  }
  return lines.join("\n") + "\n";
}

const COLOUR: Readonly<Record<Call, (chalk: ChalkInstance) => Paint>> = {
  quiet: (c) => c.bold.cyan,
  marginal: (c) => c.bold.yellow,
  loud: (c) => c.bold.red,
  undetermined: (c) => c.bold.magenta,
};

interface Context {
  readonly width: number;
  readonly chalk: ChalkInstance;
  readonly plain: Paint;
  readonly options: TextOptions;
}

function* heading(result: Result, { width, chalk, plain, options }: Context): Generator<string> {
  const { call, sentence } = result.verdict;
  const trace = CALL_TRACE[call][options.unicode ? "unicode" : "ascii"];
  const what = `flight ${result.analysed.flight}, ${duration(result.analysed.airborneS)} in the air`;
  const call_ = `${trace} ${call.toUpperCase()}`;
  const file = fitColumns(plain(result.log.file), width - columnsOf(call_) - what.length - 6);
  yield `${COLOUR[call](chalk)(call_)}  ${file}, ${plain(what)}`;
  const most = options.verbose ? 99 : 4;
  yield* atMost(wrapColumns(plain(sentence), width), most, width);
  yield "";
  yield* labelled("First mode", plain(firstModeLine(result)), { width });
  yield* labelled("Rotor", plain(rotorLine(result)), { width });
  yield "";
}

/** The first lines; the last of them shows that something is left out. */
function atMost(lines: readonly string[], most: number, width: number): string[] {
  if (lines.length <= most) return [...lines];
  return [
    ...lines.slice(0, most - 1),
    fitColumns(`${lines[most - 1]} ${lines[most]}`.padEnd(width + 1, "…"), width),
  ];
}

/** A label on the left, its text wrapped beside it, to two lines unless said otherwise. */
function labelled(
  label: string,
  text: string,
  { width, most = 2 }: { width: number; most?: number },
): string[] {
  const lines = atMost(wrapColumns(text, width - LABEL), most, width - LABEL);
  return lines.map((line, i) => cell(i === 0 ? label : "", LABEL) + line);
}

/** Columns of the table's cells; the strongest line takes what is left. */
const CELLS = { axis: 6, band: 16, shake: 13, dterm: 22 } as const;

function axisTable(result: Result, width: number, plain: Paint): string[] {
  const strongest = Math.max(8, width - CELLS.axis - CELLS.band - CELLS.shake - CELLS.dterm);
  const widths = [CELLS.axis, CELLS.band, CELLS.shake, strongest, CELLS.dterm];
  const row = (cells: readonly string[]): string =>
    fitColumns(
      cells
        .map((c, i) => cell(c, widths[i]! - 1))
        .join(" ")
        .trimEnd(),
      width,
    );
  const rows = AXES.map((axis) => {
    const summary = result.axes[axis];
    return row([axis, ...quietBandCells(summary), strongestLineCell(summary), dtermCell(summary)].map(plain));
  });
  return [row(["axis", "quiet band", "shake in it", "strongest line", "D-term at most"]), ...rows];
}

interface ReasonOptions {
  readonly room: number;
  readonly width: number;
  readonly plain: Paint;
  readonly chalk: ChalkInstance;
  /** Lines of one reason. */
  readonly most: number;
}

/** As many reasons as there is room for, weightiest first; what is left out is counted. */
function reasonLines(result: Result, { room, ...how }: ReasonOptions): string[] {
  const blocks = weightiestFirst(result.verdict.reasons).map((r) => reasonBlock(r, how));
  const lines: string[] = [];
  let shownCount = 0;
  for (const block of blocks) {
    const last = shownCount === blocks.length - 1;
    if (lines.length + block.length > room - (last ? 0 : 1)) break;
    lines.push(...block);
    shownCount++;
  }
  const left = blocks.length - shownCount;
  if (left > 0)
    lines.push(" ".repeat(LABEL) + `${left} more ${left === 1 ? "reason" : "reasons"} in the report`);
  return lines;
}

function reasonBlock(reason: Reason, { width, plain, chalk, most }: Omit<ReasonOptions, "room">): string[] {
  const lines = labelled(reason.level, plain(reasonText(reason)), { width, most });
  if (reason.level !== "loud") return lines;
  return lines.map((line, i) => (i === 0 ? chalk.bold(line.slice(0, LABEL)) + line.slice(LABEL) : line));
}

/** What is missing, what to do next, where the page is, and the caution; the long form says the rest at length. */
function footLines(result: Result, { width, plain, options }: Omit<Context, "chalk">): string[] {
  const path = options.reportPath;
  const report =
    path === null ? [] : [cell("Report", LABEL) + fitColumns(plain(path), width - LABEL, "start")];
  if (options.verbose) return report;
  const next = result.verdict.next[0];
  const missing = result.missing.map((m) => plain(m.what)).join(", ");
  const caution =
    result.verdict.cautions[0] ?? "Evidence about vibration in this log, not a statement of airworthiness.";
  return [
    ...(missing === "" ? [] : labelled("Missing", missing, { width, most: 1 })),
    ...(next === undefined ? [] : labelled("Next", plain(next), { width })),
    ...report,
    ...labelled("Caution", plain(caution), { width }),
  ];
}
