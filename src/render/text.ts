import { Chalk, type ChalkInstance } from "chalk";
import type { Evidence } from "../evidence.js";
import type { Call, Result } from "../result.js";
import { cleanText } from "../text/clean-text.js";
import { cell, columnsOf, fitColumns, wrapColumns } from "../text/columns.js";
import { toAscii } from "../text/escape.js";
import { AXES } from "../units.js";
import { CALL_TRACE } from "./call-mark.js";
import { duration } from "./format.js";
import { dtermBrief, firstModeLine, quietBandCells, rotorLine, strongestLineBrief } from "./summary-lines.js";
import { allReasons, atMost, briefReasons, LABEL, labelled } from "./text-reasons.js";
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
  const room = LINES - top.length - table.length - foot.length - 1;
  const how = { width, plain, chalk };
  const lines = [
    ...top,
    ...table,
    "",
    ...(options.verbose ? allReasons(result, how) : briefReasons(result, room, how)),
    ...foot,
  ];
  if (options.verbose) {
    lines.push(...verboseLines(result, width, plain));
    if (options.evidence)
      lines.push(...textSpectra(result, options.evidence, { width, unicode: options.unicode }));
  }
  const text = `${lines.join("\n")}\n`;
  return options.unicode ? text : text.replaceAll("…", "~");
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
  const about = fitColumns(`${file}, ${plain(what)}`, width - columnsOf(call_) - 2);
  yield `${COLOUR[call](chalk)(call_)}  ${about}`;
  yield* atMost(wrapColumns(plain(sentence), width), options.verbose ? 99 : 3, width);
  yield* labelled("First mode", plain(firstModeLine(result)), { width });
  yield* labelled("Rotor", plain(rotorLine(result)), { width });
  yield "";
}

/** The first caution in one line; the long form and the page have all of them in full. */
const CAUTION = "Vibration in one log, not airworthiness; inspect before each flight.";
/** Columns of the table's cells; the strongest line takes what is left. */
const CELLS = { axis: 6, band: 15, shake: 13, dterm: 15 } as const;

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
    return row(
      [axis, ...quietBandCells(summary), strongestLineBrief(summary), dtermBrief(summary)].map(plain),
    );
  });
  return [row(["axis", "quiet band", "shake in it", "strongest line", "most D-term"]), ...rows];
}

/** What is missing, what to do next, where the page is, and the caution; the long form says the rest at length. */
function footLines(result: Result, { width, plain, options }: Omit<Context, "chalk">): string[] {
  const path = options.reportPath;
  const report =
    path === null ? [] : [cell("Report", LABEL) + fitColumns(plain(path), width - LABEL, "start")];
  if (options.verbose) return report;
  const next = result.verdict.next[0];
  const missing = result.missing.map((m) => plain(m.what)).join(", ");
  return [
    ...(missing === "" ? [] : labelled("Missing", missing, { width })),
    ...(next === undefined ? [] : labelled("Next", plain(next), { width })),
    ...report,
    ...labelled("Caution", CAUTION, { width }),
  ];
}
