import { InputError } from "../errors.js";
import { cleanText } from "../text/clean-text.js";
import { cellNumber } from "./cell.js";
import { chooseTime, type TimeColumn } from "./choose-time.js";
import { type ColumnMap, planFromMap, recognised } from "./column-map.js";
import { toByteText } from "./encoding.js";
import type { ColumnReading, DecodeWarning, FlightLog } from "./flight-log.js";
import { findFlights } from "./flights.js";
import { type Head, readHead } from "./head.js";
import { matchNames } from "./match-names.js";
import { planColumns } from "./plan-columns.js";
import { type Plan, readBody } from "./read-body.js";
import { rateOf } from "./row-rate.js";
import { type ReadColumns, type SettledColumns, settleChannels } from "./settle.js";
import { stampSeconds } from "./stamp.js";
import { statedRate } from "./stated-rate.js";
import { fromFirstStamp, toSeconds } from "./time-axis.js";
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
  if (plan.time.unit === "wall clock") fromFirstStamp(time);
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
