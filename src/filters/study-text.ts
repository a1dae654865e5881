import { cell, fitColumns, wrapColumns } from "../text/columns.js";
import type { Chain, FilterStep } from "./chain.js";
import { level, msRange } from "./messages.js";
import type { Candidate, DtermLimit, FilterRefusal, FilterStudy, MeasuredPath } from "./study.js";

const WIDTH = 80;
const MOST_LINES = 24;
const CURVE_ROWS = 3;

export interface StudyTextOptions {
  /** Base name of the log. */
  readonly file: string;
  /** D-term value that is the whole motor range; null when not known. */
  readonly fullScale: number | null;
  /** Everything: all steps, doubts and levels, as long as it takes. */
  readonly verbose?: boolean;
}

/**
 * The study on one screen: at most 24 lines of 80 columns. What does not fit is in the JSON and on the page.
 *
 * @returns text ending in a line feed
 */
export function studyText(study: FilterStudy, options: StudyTextOptions): string {
  const head = [
    fitColumns(`What filtering costs (predictions open loop): ${options.file}`, WIDTH),
    fitColumns(settingLine(study), WIDTH),
    ...ownLines(study, options),
    "",
    ...tableLines(study, options),
    "",
  ];
  const last = wrapColumns(
    "One change at a time; short low hover, land, feel the motors; go back on heat or oscillation. " +
      "Bench work with propellers off. Nothing is written to a controller.",
    WIDTH,
  );
  const more =
    options.verbose === true ? [] : ["All steps, doubts and throttle levels: --verbose, or --json."];
  const room = MOST_LINES - head.length - last.length - more.length;
  const said =
    options.verbose === true
      ? [...adviceLines(study, Infinity), "", ...measuredLines(study.measured), ""]
      : adviceLines(study, room);
  return [...head, ...said, ...more, ...last].join("\n") + "\n";
}

/** Why there is no study. */
export function refusalText({ cost }: FilterRefusal, { file }: { readonly file: string }): string {
  return (
    [fitColumns(`What filtering costs: ${file}`, WIDTH), ...wrapColumns(`Not known: ${cost}.`, WIDTH)].join(
      "\n",
    ) + "\n"
  );
}

function settingLine({ loopRateHz, loopRateFrom, crossoverHz, crossoverFrom, fromHz }: FilterStudy): string {
  const how = (from: string): string => (from === "assumed" ? " (assumed)" : "");
  return (
    `Filter loop ${Math.round(loopRateHz)} Hz${how(loopRateFrom)}, crossover ${Math.round(crossoverHz)} Hz` +
    `${how(crossoverFrom)}, vibration from ${Math.round(fromHz)} Hz`
  );
}

function ownLines(study: FilterStudy, { fullScale }: StudyTextOptions): string[] {
  const { own, limit, dtermUnit } = study;
  const gyro =
    own.gyroDelayMs === null ? "gyro not known" : `gyro ${msRange(own.gyroDelayMs, own.gyroCi95Ms!)}`;
  const dterm = own.delayMs === null ? "D-term not known" : `D-term ${msRange(own.delayMs, own.ci95Ms!)}`;
  const left = Math.max(0, ...Object.values(own.dtermRms).map((rms) => rms ?? 0));
  const levels =
    left === 0
      ? ""
      : `D-term left: ${level(left, dtermUnit, fullScale)}${limitWords(limit, dtermUnit, fullScale)}`;
  const lines = [`This flight's delay: ${gyro}, ${dterm}`];
  if (levels !== "") lines.push(levels);
  if (own.behavesLike !== null) lines.push(`Like: ${own.behavesLike}`);
  return lines.map((line) => fitColumns(line, WIDTH));
}

function limitWords(limit: DtermLimit | null, unit: string, fullScale: number | null): string {
  if (limit === null) return "";
  // without the motor range in the D-term's unit there is no limit but what has been flown
  if (limit.how === "this flight's own level") return ", taken as limit (dtermFullScale not known)";
  return `; limit ${level(limit.value, unit, fullScale)}`;
}

function tableLines(study: FilterStudy, options: StudyTextOptions): string[] {
  const head = row(["", "ms", "lag", "deg/s", "D-term", "filters (corners and centres in Hz)"]);
  return [head, ...shownRows(study.candidates).map((candidate) => candidateRow(candidate, study, options))];
}

/** The least delay, the examples, and some of the curve. */
function shownRows(candidates: readonly Candidate[]): Candidate[] {
  const curve = candidates.filter((c) => c.role === "trade-off");
  const step = Math.max(1, (curve.length - 1) / (CURVE_ROWS - 1));
  const picked = Array.from(
    { length: Math.min(CURVE_ROWS, curve.length) },
    (_, i) => curve[Math.round(i * step)]!,
  );
  return [...candidates.filter((c) => c.role !== "trade-off"), ...picked];
}

const MARKS = {
  "this flight": "this",
  "least delay": "least",
  example: "e.g.",
  "trade-off": "curve",
} as const;

/** " over", or " over?" where the interval of a prediction spans the limit. */
function overMark({ meetsLimit, role }: Candidate, limited: boolean): string {
  if (!limited || meetsLimit === true) return "";
  return meetsLimit === false || role === "this flight" ? " over" : " over?";
}

function candidateRow(candidate: Candidate, { limit }: FilterStudy, { fullScale }: StudyTextOptions): string {
  const { delayMs, phaseDeg, gyroRms, dtermRms, steps, role } = candidate;
  const dterm = fullScale === null ? shortNumber(dtermRms) : `${shortNumber((100 * dtermRms) / fullScale)} %`;
  const over = overMark(candidate, limit !== null);
  const cells = [
    MARKS[role],
    delayMs.toFixed(2),
    phaseDeg === null ? "" : `${Math.round(phaseDeg)}°`,
    gyroRms.toFixed(2),
    dterm + over,
  ];
  return row([...cells, steps === null ? "as flown" : shortChain(steps)]);
}

/** Three digits at most: 0.087, 1.46, 17.2, 284. */
function shortNumber(value: number): string {
  return value >= 1000 ? String(Math.round(value)) : value >= 1 ? value.toPrecision(3) : value.toFixed(3);
}

const COLUMNS = [6, 6, 5, 6, 13] as const;

function row(cells: readonly string[]): string {
  const lead = COLUMNS.map((width, i) => cell(cells[i]!, width)).join("");
  return fitColumns((lead + cells[COLUMNS.length]!).trimEnd(), WIDTH);
}

/**
 * A chain in few words, for a table.
 *
 * @example shortChain({ gyro: [], dterm: [{ kind: "low-pass", order: 2, corner: 100 }] }) // "gyro none; D 100 2nd"
 */
export function shortChain({ gyro, dterm }: Chain): string {
  const words = (steps: readonly FilterStep[]): string =>
    steps.length === 0 ? "none" : steps.map(shortStep).join(" + ");
  return `gyro ${words(gyro)}; D ${words(dterm)}`;
}

function shortStep(step: FilterStep): string {
  if (step.kind === "notch") return `notch ${Math.round(step.centreHz)}`;
  if (step.kind === "rotor notches") return `orders ${step.orders.join(",")}`;
  const order = step.order === 1 ? "1st" : "2nd";
  if (typeof step.corner === "number") return `${Math.round(step.corner)} ${order}`;
  return `${Math.round(step.corner.atZeroHz)}..${Math.round(step.corner.atFullHz)} ${order}`;
}

/** Every measured path, axis and throttle level in a line, or why it is not known. */
function measuredLines(measured: readonly MeasuredPath[]): string[] {
  const line = (m: MeasuredPath): string => {
    const throttle = m.throttle === null ? "" : ` at ${Math.round(100 * m.throttle)} % throttle`;
    const found = m.delayMs === null ? `not known: ${m.why}` : msRange(m.delayMs, m.ci95Ms!);
    return `raw to ${m.path === "gyro" ? "filtered gyro" : "D-term"}, ${m.axis}${throttle}: ${found}`;
  };
  return measured.flatMap((m) => wrapColumns(line(m), WIDTH));
}

/** Advice from the target on, cut at the room there is; the cautions stand below it anyway. */
function adviceLines({ advice, doubts }: FilterStudy, room: number): string[] {
  const lines: string[] = [];
  const wanted = advice.filter((text) => /^(The least|No chain|Step|Then|Must|Without)/.test(text));
  for (const text of [...wanted, ...doubts]) {
    const wrapped = wrapColumns(text, WIDTH);
    if (lines.length + wrapped.length > room) break;
    lines.push(...wrapped);
  }
  return lines;
}
