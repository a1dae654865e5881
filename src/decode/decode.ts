import { InputError } from "../errors.js";
import { quantile } from "../stats/quantile.js";
import { cleanText } from "../text/clean-text.js";
import { Body } from "./body.js";
import { cellNumber } from "./cell.js";
import { chooseTime, type TimeColumn } from "./choose-time.js";
import { type ColumnMap, planFromMap, recognised } from "./column-map.js";
import { splitLine } from "./dialect.js";
import { toByteText } from "./encoding.js";
import type { ColumnReading, DecodeWarning, FlightLog } from "./flight-log.js";
import { findFlights } from "./flights.js";
import { GrowingColumns } from "./growing-columns.js";
import { type Head, isComment, readHead } from "./head.js";
import { matchNames } from "./match-names.js";
import { KEPT, type PlannedColumn, planColumns } from "./plan-columns.js";
import { NUMBER, type OddCount, Scanner, type ScanPlan, STAMP } from "./scan.js";
import { type ReadColumns, type SettledColumns, settleChannels } from "./settle.js";
import { stampSeconds } from "./stamp.js";
import { statedRate } from "./stated-rate.js";
import { toSeconds } from "./time-axis.js";
import { UndecidedError } from "./undecided.js";
import { Unpacked } from "./unpack.js";

/** What decoding can be told. */
export interface DecodeOptions {
  /** Base name, for messages and the result. */
  readonly file: string;
  readonly columnMap?: ColumnMap;
  /** Rows per second, for a log without a clock. */
  readonly rateHz?: number;
  readonly maxExpandedBytes?: number;
  readonly onProgress?: (bytes: number) => void;
  /** Size of the file, where known: columns are then made long enough at once. */
  readonly sizeBytes?: number;
}

/** How much of a file is looked at to find its layout. */
const HEAD_BYTES = 512 * 1024;
const FEWEST_ROWS = 16;
const ROWS_UNKNOWN = 262_144;
/** However large a file says it is, no more room than this is made in advance. */
const MOST_EXPECTED = 16e6;

/**
 * Reads an export: bytes → columns in standard units, with what each column was taken for and every doubt.
 *
 * @param source the file's bytes, whole or in chunks; gzip and zstd are told by content
 * @throws {InputError} kind "content": not a table of numbers, no time, no gyro, or columns that cannot be told
 */
export async function decodeLog(
  source: Uint8Array | AsyncIterable<Uint8Array>,
  options: DecodeOptions,
): Promise<FlightLog> {
  const file = cleanText(options.file);
  const unpacked = new Unpacked(source, { ...options, file });
  const text = toByteText(unpacked.chunks());
  const { bytes, whole } = await takeHead(text);
  const head = layoutOf(bytes, whole, file);
  const plan = columnsOf(head, options, file);
  const expectedRows = rowsToExpect(bytes.subarray(head.dataOffset), head, options.sizeBytes);
  const read = await readBody({
    expectedRows,
    head,
    plan,
    first: bytes,
    rest: text,
    file,
    cut: () => unpacked.cut,
  });
  const time = read.time;
  const onLine = (w: DecodeWarning): DecodeWarning => ({
    ...w,
    row: w.row === null ? null : read.lineOf(w.row - 1),
  });
  if (plan.time.unit === "wall clock") fromMidnightToMidnight(time);
  const { warnings: timeWarnings } = toSeconds(time, plan.time.secondsPer, plan.time.unit === "us");
  const settled = settleOrAsk(
    { columns: read.columns, planned: plan.planned, rate: rateOf(time), file },
    plan.time,
  );
  return {
    file,
    sha256: unpacked.sha256,
    rows: time.length,
    time,
    timeUnit: plan.time.unit,
    timeHow: plan.time.how,
    timeWhy: plan.time.why,
    columns: withTime(settled.readings, plan.time),
    channels: settled.channels,
    flights: findFlights(time, settled.channels),
    notes: head.notes,
    warnings: [
      ...unpacked.warnings,
      ...plan.warnings,
      ...read.warnings,
      ...timeWarnings.map(onLine),
      ...settled.warnings,
    ],
  };
}

async function takeHead(text: AsyncGenerator<Uint8Array>): Promise<{ bytes: Uint8Array; whole: boolean }> {
  const chunks: Uint8Array[] = [];
  let length = 0;
  while (length < HEAD_BYTES) {
    const next = await text.next();
    if (next.done) return { bytes: Buffer.concat(chunks), whole: true };
    // A chunk may live in a buffer that its stream writes again.
    chunks.push(Uint8Array.from(next.value));
    length += next.value.length;
  }
  return { bytes: Buffer.concat(chunks), whole: false };
}

function layoutOf(bytes: Uint8Array, whole: boolean, file: string): Head {
  if (bytes.length === 0)
    throw new InputError("content", "the file is empty", "export the log again", { file });
  const head = readHead(bytes.subarray(0, HEAD_BYTES), whole && bytes.length <= HEAD_BYTES);
  if (head === null)
    throw new InputError("content", "no table of numbers found", "export the log as CSV with a header row", {
      file,
    });
  return head;
}

interface Plan {
  readonly planned: readonly PlannedColumn[];
  readonly time: TimeColumn;
  readonly warnings: readonly DecodeWarning[];
}

/** What every column is, before the body is read: by the map, else by the words. */
function columnsOf(head: Head, options: DecodeOptions, file: string): Plan {
  const { columnMap, rateHz } = options;
  if (head.headers === null && columnMap === undefined) {
    throw new InputError(
      "content",
      "no header row found",
      "add one, or say what the columns are with --columns FILE",
      { file, row: head.dataLine },
    );
  }
  const { names, warnings } = matchNames(head, columnMap !== undefined, file);
  const planned =
    columnMap === undefined
      ? planColumns(names ?? [], head.units)
      : planFromMap(columnMap, names, head.width, file);
  if (!planned.some((c) => c.role === "gyro" || c.role === "gyroRaw" || c.role === "gyroFiltered")) {
    const remedy =
      "name the columns with --columns FILE (quietspar columns LOG --write FILE makes one to edit)";
    throw new UndecidedError("no gyro column found", remedy, { file }, recognised(planned));
  }
  const comma = head.dialect.decimalComma;
  const stamps = new Set(planned.map((c) => c.index).filter((i) => isStampColumn(head.sample, i)));
  const sample = head.sample.map((row) =>
    row.map((cell, i) => (stamps.has(i) ? stampSeconds(cell) : cellNumber(cell, comma))),
  );
  const rate =
    rateHz === undefined ? statedRate(head.notes) : { hz: rateHz, how: "map" as const, why: "as told" };
  return { planned, time: chooseTime({ planned, sample, stamps, rate, file }), warnings };
}

function isStampColumn(rows: readonly (readonly string[])[], index: number): boolean {
  const cells = rows.map((row) => row[index] ?? "").filter((cell) => cell !== "");
  return cells.length > 0 && cells.every((cell) => !Number.isNaN(stampSeconds(cell)));
}

/** Text logs shrink three to eight times when packed. */
const PACKED_SHARE = 8;

/** Rows that a file of this size will hold, by the length of its first ones; generous, since unused room is free. */
function rowsToExpect(body: Uint8Array, { dialect }: Head, sizeBytes: number | undefined): number {
  if (sizeBytes === undefined) return ROWS_UNKNOWN;
  let lines = 1;
  for (let at = body.indexOf(dialect.newline); at >= 0; at = body.indexOf(dialect.newline, at + 1)) lines++;
  const bytesPerRow = Math.max(2, body.length / lines);
  const text = sizeBytes < body.length ? sizeBytes * PACKED_SHARE : sizeBytes;
  return Math.min(MOST_EXPECTED, (1.1 * text) / bytesPerRow);
}

interface BodyInput {
  readonly expectedRows: number;
  readonly head: Head;
  readonly plan: Plan;
  readonly first: Uint8Array;
  readonly rest: AsyncIterable<Uint8Array>;
  readonly file: string;
  /** Whether the archive ended early; known once all was read. */
  readonly cut: () => boolean;
}

interface BodyRead {
  readonly time: Float64Array;
  /** By column of the file. */
  readonly columns: ReadonlyMap<number, Float32Array>;
  readonly warnings: readonly DecodeWarning[];
  /** Line of the file of a data row from 0. */
  readonly lineOf: (row: number) => number;
}

async function readBody({ expectedRows, head, plan, first, rest, file, cut }: BodyInput): Promise<BodyRead> {
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
  readonly #names: string | null;
  readonly #delimiter: Head["dialect"]["delimiter"];

  constructor(head: Head) {
    this.#names = head.headers === null ? null : head.headers.join("\n");
    this.#delimiter = head.dialect.delimiter;
  }

  readonly isHeader = (cells: readonly string[]): boolean => {
    if (this.#names === null || cells.map((cell) => cleanText(cell)).join("\n") !== this.#names) return false;
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

/** Settles what the words left open; a question to the user comes with a map that names the clock too. */
function settleOrAsk(read: ReadColumns, { column, unit, secondsPer }: TimeColumn): SettledColumns {
  try {
    return settleChannels(read);
  } catch (error) {
    if (!(error instanceof UndecidedError) || error.candidate === null || column === null) throw error;
    const clock = {
      header: column.header,
      column: column.index + 1,
      role: "time" as const,
      unit,
      scale: secondsPer,
    };
    const columns = [clock, ...error.candidate.columns];
    throw new UndecidedError(error.message, error.remedy, error.place, { columns });
  }
}

/** Rows per second, roughly: the middle of the steps that advance; for what needs a scale of time only. */
function rateOf(time: Float64Array): number {
  const steps = Float64Array.from({ length: Math.min(4096, time.length - 1) }, (_, k) => {
    const i = Math.floor((k * (time.length - 1)) / Math.min(4096, time.length - 1));
    return time[i + 1]! - time[i]!;
  });
  const mean = steps.reduce((sum, step) => sum + step, 0) / steps.length;
  const median = quantile(steps, 0.5);
  const step = median > 0 ? median : mean;
  return step > 0 ? 1 / step : Number.NaN;
}

const DAY_S = 86_400;
const MIDNIGHT_SLACK_S = 60;

/** Seconds from the first row; a time of day that starts over at midnight goes on. */
function fromMidnightToMidnight(time: Float64Array): void {
  const start = time[0] ?? 0;
  let days = 0;
  let last = start;
  for (let i = 0; i < time.length; i++) {
    const now = time[i]!;
    if (Math.abs(now - last + DAY_S) < MIDNIGHT_SLACK_S) days++;
    last = now;
    time[i] = now + days * DAY_S - start;
  }
}

function withTime(readings: readonly ColumnReading[], time: TimeColumn): ColumnReading[] {
  return readings.map((reading) => {
    if (reading.index === time.column?.index) {
      return {
        ...reading,
        role: "time" as const,
        unit: time.unit,
        scale: time.secondsPer,
        how: time.how,
        why: time.why,
      };
    }
    return reading.role === "time" ? { ...reading, role: null, why: "another column is the clock" } : reading;
  });
}
