import type { ChalkInstance } from "chalk";
import type { QualityCheck, Reason, Result } from "../result.js";
import { cell, fitColumns, wrapColumns } from "../text/columns.js";
import { quantity, trimmed } from "./format.js";
import { reasonText, weightiestFirst } from "./reason-order.js";

/** Columns of the labels on the left. */
export const LABEL = 12;
/** Columns of a reason's name, which is also the argument of `explain`. */
const NAME = 17;
/** Lines of a reason that carries the call, and of a failed check. */
const MOST_LINES = 3;

interface How {
  readonly width: number;
  readonly plain: (text: string) => string;
  readonly chalk: ChalkInstance;
}

/** The first lines; the last of them shows that something is left out. */
export function atMost(lines: readonly string[], most: number, width: number): string[] {
  if (lines.length <= most) return [...lines];
  return [
    ...lines.slice(0, most - 1),
    fitColumns(`${lines[most - 1]} ${lines[most]}`.padEnd(width + 1, "…"), width),
  ];
}

/** A label on the left, its text wrapped beside it, to two lines unless said otherwise. */
export function labelled(
  label: string,
  text: string,
  { width, most = 2 }: { width: number; most?: number },
): string[] {
  const lines = atMost(wrapColumns(text, width - LABEL), most, width - LABEL);
  return lines.map((line, i) => cell(i === 0 ? label : "", LABEL) + line);
}

/** Every reason at length, weightiest first. */
export function allReasons(result: Result, how: How): string[] {
  return weightiestFirst(result.verdict.reasons).flatMap((reason) => spelledOut(reason, how, 99));
}

/**
 * What carries the call at length (failed checks, then loud, needed but unknown and marginal reasons), the rest as one line
 * each with its figure and its limit; what there is no room for is counted.
 *
 * @param room lines to fill
 */
export function briefReasons(result: Result, room: number, how: How): string[] {
  const failed = result.quality.filter((check) => check.level === "fail");
  const unfit = failed.length > 0;
  const reasons = weightiestFirst(result.verdict.reasons);
  // Of an unfit log what has no figure has nothing to tell but its name.
  const bare = unfit ? reasons.filter((r) => r.level === "unknown" && r.value === null) : [];
  const blocks = [
    ...failed.map((check) => checkBlock(check, how)),
    ...groups(reasons.filter((r) => !bare.includes(r))).map((group) => blockOf(group, { ...how, unfit })),
    ...(bare.length > 0 ? [namesOf(bare, how)] : []),
  ];
  const lines: string[] = [];
  let shown = 0;
  for (const block of blocks) {
    const last = shown === blocks.length - 1;
    if (lines.length + block.length > room - (last ? 0 : 1)) break;
    lines.push(...block);
    shown++;
  }
  const left = blocks.length - shown;
  if (left > 0) lines.push(`${" ".repeat(LABEL)}${left} more ${left === 1 ? "line" : "lines"} in the report`);
  return lines;
}

function namesOf(reasons: readonly Reason[], { width, plain }: How): string[] {
  const names = [...new Set(reasons.map((reason) => reason.id))];
  return labelled("unknown", plain(names.join(", ")), { width, most: MOST_LINES });
}

/** Reasons of one name and level, for they differ by axis only, in the order of their first. */
function groups(reasons: readonly Reason[]): Reason[][] {
  const found = new Map<string, Reason[]>();
  for (const reason of reasons) {
    const key = `${reason.level} ${reason.required} ${reason.id}`;
    found.set(key, [...(found.get(key) ?? []), reason]);
  }
  return [...found.values()];
}

/** @param how.unfit a check failed: it is why reasons are unknown, and is spelled out in their place */
function blockOf(group: readonly Reason[], how: How & { readonly unfit: boolean }): string[] {
  const worst = [...group].sort((a, b) => share(b) - share(a))[0]!;
  const { level, required } = worst;
  const carries = level === "loud" || level === "marginal" || (level === "unknown" && required && !how.unfit);
  return carries ? spelledOut(worst, how, MOST_LINES) : [oneLine(worst, how)];
}

/** How far a figure has used up its limit. */
function share({ value, limit }: Reason): number {
  return value === null || limit === null ? 0 : value / limit;
}

function spelledOut(reason: Reason, { width, plain, chalk }: How, most: number): string[] {
  const lines = labelled(reason.level, plain(reasonText(reason)), { width, most });
  if (reason.level !== "loud") return lines;
  return lines.map((line, i) => (i === 0 ? chalk.bold(line.slice(0, LABEL)) + line.slice(LABEL) : line));
}

function checkBlock({ id, message }: QualityCheck, { width, plain }: How): string[] {
  return labelled("failed", plain(`${id}: ${message}`), { width, most: MOST_LINES });
}

function oneLine(reason: Reason, { width, plain }: How): string {
  const text = cell(reason.level, LABEL) + cell(reason.id, NAME) + plain(figureOf(reason));
  return fitColumns(text.trimEnd(), width);
}

const OWN_UNITS = "log's own units";
const GAP_UNIT = "share of the mode's frequency";
const SHARE = /^share of (?:the )?(.*)$/;

/** A reason's figure against its limit in a few words, or what its message says first where it has no figure. */
function figureOf(reason: Reason): string {
  const { id, value, limit, axis, level, unit } = reason;
  if (value === null) return reason.message.split(/(?<=\.) /)[0]!.replace(/[.;]$/, "");
  const on = axis === null ? "" : ` on ${axis}`;
  if (unit === OWN_UNITS) return `${trimmed(value)} in the log's own units${on}, to compare by`;
  const clear = unit === GAP_UNIT;
  const figure = clear ? `nearest mode ${trimmed(100 * value)} % clear` : `${sized(reason, value)}${on}`;
  if (level === "unknown" && id !== "payload-forecast") return `${figure}, does not count`;
  return limit === null ? figure : `${figure}, ${clear ? "wanted" : "limit"} ${limitOf(reason, limit)}`;
}

function sized({ unit }: Reason, value: number): string {
  const of = SHARE.exec(unit)?.[1];
  return of === undefined ? quantity(value, unit) : `${trimmed(100 * value)} % of the ${of}`;
}

function limitOf({ unit }: Reason, limit: number): string {
  return SHARE.test(unit) ? `${trimmed(100 * limit)} %` : trimmed(limit);
}
