import { parse } from "csv-parse/sync";
import { cleanText } from "../text/clean-text.js";
import { cellKind } from "./cell.js";
import { DELIMITERS, type Dialect, endsInQuotes, splitLine } from "./dialect.js";
import type { Note } from "./flight-log.js";
import { stampSeconds } from "./stamp.js";
import { isUnitCell } from "./units-of-the-trade.js";

/** What the first part of a file says about its layout. */
export interface Head {
  readonly dialect: Dialect;
  /** Names of the columns, cleaned; null when there is no header row. */
  readonly headers: readonly string[] | null;
  /** Cells of the row of units under the header, when there is one. */
  readonly units: readonly string[] | null;
  /** Cells of a data row. */
  readonly width: number;
  /** Byte at which the first data row begins, and its line number from 1. */
  readonly dataOffset: number;
  readonly dataLine: number;
  readonly notes: readonly Note[];
  /** Some data rows as text, for what the words alone do not settle. */
  readonly sample: readonly (readonly string[])[];
}

/** A line of the head: where it begins in bytes, its number from 1, its bytes as Latin-1 characters. */
interface Line {
  readonly offset: number;
  readonly number: number;
  readonly text: string;
}

interface Candidate {
  readonly dialect: Dialect;
  readonly width: number;
  readonly firstData: number;
  readonly score: number;
}

const COMMENT = /^\s*(?:#|%|\/\/|!|\*)/;
const SAMPLE_ROWS = 200;

/** A line that is a remark, not data. */
export function isComment(text: string): boolean {
  return COMMENT.test(text);
}

/**
 * Finds delimiter, decimal mark, header, row of units, notes and the first data row.
 *
 * @param bytes the first part of the file, UTF-8 or Latin-1, any line ends
 * @param whole true when these are all the bytes there are
 * @returns null when no row of numbers is to be seen
 */
export function readHead(bytes: Uint8Array, whole: boolean): Head | null {
  const newline = bytes.includes(10) ? 10 : bytes.includes(13) ? 13 : 10;
  const lines = logicalLines(bytes, newline, whole);
  const candidate = DELIMITERS.map((delimiter) => tryDelimiter(lines, delimiter, newline))
    .filter((found) => found !== null)
    .reduce<Candidate | null>((best, next) => (best && best.score >= next.score ? best : next), null);
  if (!candidate) return null;
  const { dialect, firstData, width } = candidate;
  const first = lines[firstData]!;
  const header = findHeader(lines.slice(0, firstData), dialect, width);
  return {
    dialect,
    width,
    headers: header ? header.names : null,
    units: header ? header.units : null,
    dataOffset: first.offset,
    dataLine: first.number,
    notes: readNotes(lines.slice(0, header ? header.index : firstData), dialect),
    sample: lines
      .slice(firstData, firstData + SAMPLE_ROWS)
      .map((line) => splitLine(line.text, dialect.delimiter)),
  };
}

/** Splits into lines; a quoted cell may hold line ends. The last, perhaps cut, line counts only when `whole`. */
function logicalLines(bytes: Uint8Array, newline: number, whole: boolean): Line[] {
  const text = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength).toString("latin1");
  const mark = String.fromCharCode(newline);
  const lines: Line[] = [];
  let offset = 0;
  let number = 1;
  while (offset < text.length) {
    let end = text.indexOf(mark, offset);
    let joined = 1;
    while (end >= 0 && joined < 20 && opensCell(text.slice(offset, end))) {
      const next = text.indexOf(mark, end + 1);
      if (next < 0) break;
      end = next;
      joined++;
    }
    if (end < 0) {
      if (!whole) break;
      end = text.length;
    }
    if (opensCell(text.slice(offset, end))) {
      end = text.indexOf(mark, offset) < 0 ? text.length : text.indexOf(mark, offset);
      joined = 1;
    }
    lines.push({ offset, number, text: text.slice(offset, end).replace(/\r$/, "") });
    offset = end + 1;
    number += joined;
  }
  return lines;
}

/** A remark holds no cells, so its quotes open none. */
const opensCell = (text: string): boolean => !isComment(text) && endsInQuotes(text);

function tryDelimiter(
  lines: readonly Line[],
  delimiter: Dialect["delimiter"],
  newline: 10 | 13,
): Candidate | null {
  const cells = lines.map((line) => (isComment(line.text) ? [] : splitLine(line.text, delimiter)));
  const flat = cells.slice(-400).flat();
  const commas =
    delimiter === "," ? 0 : flat.filter((cell) => /^[+-]?\d*,\d+(e[+-]?\d+)?$/i.test(cell)).length;
  const points = flat.filter((cell) => /^[+-]?\d*\.\d+(e[+-]?\d+)?$/i.test(cell)).length;
  const decimalComma = commas > points;
  const widths = cells.map((row) => (isData(row, decimalComma) ? row.length : 0));
  const width = mode(widths.filter((w) => w >= 2));
  if (width === null) return null;
  const firstData = widths.findIndex(
    (w, i) => w === width && (widths[i + 1] === width || widths[i + 2] === width || i >= lines.length - 2),
  );
  if (firstData < 0) return null;
  const rows = cells.slice(firstData).filter((_, i) => widths[firstData + i] === width);
  const numeric = share(rows.flat(), (cell) => cellKind(cell, decimalComma) === "number" || isStamp(cell));
  const regular = rows.length / Math.max(1, cells.slice(firstData).filter((row) => row.length > 0).length);
  // The width breaks ties: "1 2,3" is two cells by blanks or by commas, but three by neither.
  const score = numeric * regular + Math.min(width, 50) * 1e-4;
  return { dialect: { delimiter, decimalComma, newline }, width, firstData, score };
}

function isStamp(cell: string): boolean {
  return !Number.isNaN(stampSeconds(cell));
}

/** A row of data: at least half of the cells that hold anything are numbers or stamps, and one is. */
function isData(cells: readonly string[], decimalComma: boolean): boolean {
  let numbers = 0;
  let texts = 0;
  for (const cell of cells) {
    const kind = cellKind(cell, decimalComma);
    if (kind === "number" || (kind === "text" && isStamp(cell))) numbers++;
    else if (kind === "text") texts++;
  }
  return numbers > 0 && numbers >= texts;
}

function mode(values: readonly number[]): number | null {
  const counts = new Map<number, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  let best: number | null = null;
  for (const [value, count] of counts) if (best === null || count > counts.get(best)!) best = value;
  return best;
}

function share<T>(values: readonly T[], test: (value: T) => boolean): number {
  return values.length === 0 ? 0 : values.filter(test).length / values.length;
}

function findHeader(
  before: readonly Line[],
  dialect: Dialect,
  width: number,
): { names: string[]; units: string[] | null; index: number } | null {
  const rows: { cells: string[]; index: number }[] = [];
  for (let index = before.length - 1; index >= 0 && rows.length < 2 && index >= before.length - 12; index--) {
    const line = before[index]!;
    const text = decodeText(line.text).replace(COMMENT, "");
    if (text.trim() === "") continue;
    const cells = headerCells(text, dialect);
    if (fits(cells, width)) rows.push({ cells, index });
    else if (rows.length > 0) break;
  }
  const [last, above] = rows;
  if (!last) return null;
  const isUnits = above !== undefined && share(last.cells, (c) => c === "" || isUnitCell(c)) > 0.8;
  const header = isUnits ? above : last;
  return {
    names: header.cells.map((c) => cleanText(c)),
    units: isUnits ? last.cells : null,
    index: header.index,
  };
}

/** As many names as a row has cells, or one more or less where the ends are blank or row numbers lead. */
function fits(cells: readonly string[], width: number): boolean {
  const named = cells.filter((c) => c !== "").length;
  return named >= 2 && named >= width / 2 && named <= width + 1 && Math.abs(cells.length - width) <= 1;
}

function headerCells(text: string, dialect: Dialect): string[] {
  if (dialect.delimiter === " ") return splitLine(text, " ");
  try {
    const rows: string[][] = parse(text, { delimiter: dialect.delimiter, relax_quotes: true, trim: true });
    return rows[0] ?? [];
  } catch {
    return splitLine(text, dialect.delimiter); // quotes that do not close: taken as they stand
  }
}

/** The line's bytes as UTF-8 where they are UTF-8, else as Windows-1252 (which holds Latin-1's letters). */
function decodeText(latin1Text: string): string {
  const bytes = Buffer.from(latin1Text, "latin1");
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    return new TextDecoder("windows-1252").decode(bytes);
  }
}

/** Key and value from lines such as "# craft: Test", "rate = 1000", "craft,Test". */
function readNotes(lines: readonly Line[], dialect: Dialect): Note[] {
  const notes: Note[] = [];
  for (const line of lines.slice(0, 1000)) {
    const text = decodeText(line.text.slice(0, 2000)).replace(COMMENT, "").trim();
    const pair = /^([^:=]{1,80}?)\s*[:=]\s*(.+)$/.exec(text);
    const cells = splitLine(text, dialect.delimiter).filter((cell) => cell !== "");
    if (cells.length === 2) notes.push({ key: cleanText(cells[0]!), value: cleanText(cells[1]!) });
    else if (pair)
      notes.push({ key: cleanText(pair[1]!), value: cleanText(pair[2]!.replace(/[,;\s]+$/, "")) });
  }
  return notes.filter((note) => note.key !== "" && note.value !== "").slice(0, 200);
}
