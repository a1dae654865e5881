import { InputError } from "../errors.js";
import { cleanText } from "../text/clean-text.js";
import { Body } from "./body.js";
import type { TimeColumn } from "./choose-time.js";
import { splitLine } from "./dialect.js";
import type { DecodeWarning } from "./flight-log.js";
import { GrowingColumns } from "./growing-columns.js";
import { type Head, isComment } from "./head.js";
import { KEPT, type PlannedColumn } from "./plan-columns.js";
import { NUMBER, type OddCount, Scanner, type ScanPlan, STAMP } from "./scan.js";
import { stampSeconds } from "./stamp.js";

const FEWEST_ROWS = 16;

/** What is known before the data rows are read. */
export interface Plan {
  readonly planned: readonly PlannedColumn[];
  readonly time: TimeColumn;
  readonly warnings: readonly DecodeWarning[];
}

export interface BodyInput {
  readonly expectedRows: number;
  readonly head: Head;
  readonly plan: Plan;
  readonly first: Uint8Array;
  readonly rest: AsyncIterable<Uint8Array>;
  readonly file: string;
  /** Whether the archive ended early; known once all was read. */
  readonly cut: () => boolean;
}

export interface BodyRead {
  readonly time: Float64Array;
  /** By column of the file. */
  readonly columns: ReadonlyMap<number, Float32Array>;
  readonly warnings: readonly DecodeWarning[];
  /** Line of the file of a data row from 0. */
  readonly lineOf: (row: number) => number;
}

/** Reads the data rows: kept columns, the clock, and what was odd. */
export async function readBody({
  expectedRows,
  head,
  plan,
  first,
  rest,
  file,
  cut,
}: BodyInput): Promise<BodyRead> {
  const timeIndex = plan.time.column?.index ?? -1;
  const kept = plan.planned
    .filter((c) => c.index !== timeIndex && c.role !== null && KEPT.has(c.role))
    .map((c) => c.index);
  const kinds = new Uint8Array(head.width);
  for (const index of kept) kinds[index] = NUMBER;
  if (timeIndex >= 0) kinds[timeIndex] = plan.time.unit === "wall clock" ? STAMP : NUMBER;
  // The scanner hands columns over in file order.
  const order = [...kept, ...(timeIndex >= 0 ? [timeIndex] : [])].sort((a, b) => a - b);
  const store = new GrowingColumns(
    order.map((index) => index === timeIndex),
    expectedRows,
    file,
  );
  const origin = Math.floor(stampSeconds(head.sample[0]?.[timeIndex] ?? "")) || 0;
  const scanPlan: ScanPlan = {
    dialect: head.dialect,
    kinds,
    readStamp: (text) => stampSeconds(text, origin),
  };
  const header = new HeaderAgain(head);
  const scanner = new Scanner(scanPlan, (block, rows) => store.append(block, rows), header.oddLine);
  scanner.line = head.dataLine;
  const body = new Body(scanner, scanPlan, file, header.isHeader);
  body.push(first.subarray(head.dataOffset));
  for await (const chunk of rest) body.push(chunk);
  body.end(cut());
  const columns = store.take();
  const rows = scanner.rows;
  if (rows < FEWEST_ROWS)
    throw new InputError("content", `only ${rows} rows of numbers`, "export the whole log", { file });
  const byIndex = new Map<number, Float32Array>();
  order.forEach((index, slot) => {
    if (index !== timeIndex) byIndex.set(index, columns[slot] as Float32Array);
  });
  const time =
    timeIndex < 0
      ? Float64Array.from({ length: rows }, (_, i) => i)
      : (columns[order.indexOf(timeIndex)] as Float64Array);
  return {
    time,
    columns: byIndex,
    warnings: warningsOf(scanner, body, header),
    lineOf: (row) => scanner.lineOf(row),
  };
}

/** Knows the header when it meets it again: two exports joined. */
class HeaderAgain {
  count = 0;
  row: number | null = null;
  readonly #names: readonly string[] | null;
  readonly #delimiter: Head["dialect"]["delimiter"];

  constructor(head: Head) {
    this.#names = head.headers;
    this.#delimiter = head.dialect.delimiter;
  }

  readonly isHeader = (cells: readonly string[]): boolean => {
    const names = this.#names;
    if (names === null || cells.length !== names.length) return false;
    // Nearly every row differs at its first cell.
    if (!names.every((name, i) => cells[i] === name || cleanText(cells[i]!) === name)) return false;
    this.count++;
    return true;
  };

  readonly oddLine = (text: string, line: number): "skip" | "data" => {
    if (text.trim() === "" || isComment(text)) return "skip";
    if (!this.isHeader(splitLine(text, this.#delimiter))) return "data";
    this.row ??= line;
    return "skip";
  };
}

function warningsOf(scanner: Scanner, body: Body, header: HeaderAgain): DecodeWarning[] {
  const counted = (
    id: string,
    message: string,
    { count, row }: Pick<OddCount, "count" | "row">,
  ): DecodeWarning[] => (count === 0 ? [] : [{ id, message, count, row }]);
  return [
    ...counted(
      "ragged-rows",
      "rows with more or fewer cells than the header, left out",
      scanner.counts.ragged,
    ),
    ...counted("not-numbers", "cells that are no number, taken as missing", scanner.counts.notNumber),
    ...counted("open-quotes", "lines with a quote that never closes, read as they stand", body.unclosedQuote),
    ...counted("header-again", "header rows in the middle of the file: exports joined", header),
  ];
}
