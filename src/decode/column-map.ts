import { InputError } from "../errors.js";
import { cleanText } from "../text/clean-text.js";
import type { Axis } from "../units.js";
import { SECONDS_PER } from "./choose-time.js";
import type { ColumnReading, FlightLog, Role } from "./flight-log.js";
import type { PlannedColumn } from "./plan-columns.js";

/** What one column is, as told by the user. */
export interface MappedColumn {
  /** Header as in the file; or, for a file without one, leave it out and give `column`. */
  readonly header?: string;
  /** Position from 1. */
  readonly column?: number;
  readonly role: Role;
  readonly axis?: Axis;
  readonly motor?: number;
  /** For the record; what counts is `scale`. Time: "s", "ms", "us", "ns" or "samples". */
  readonly unit: string;
  /** Standard value = (cell − offset) · scale. */
  readonly scale: number;
  readonly offset?: number;
  readonly electrical?: boolean;
}

/** A column map (schema/column-map.schema.json). Columns that it does not name are not used. */
export interface ColumnMap {
  readonly columns: readonly MappedColumn[];
}

/** One line of `quietspar columns`. */
export interface ColumnRow {
  readonly column: number;
  readonly header: string;
  readonly takenFor: string;
  readonly unit: string;
  readonly scale: string;
  readonly how: string;
  readonly why: string;
}

/** What each column was taken for, in file order. */
export function describeColumns(log: Pick<FlightLog, "columns">): ColumnRow[] {
  return log.columns.map((c) => ({
    column: c.index + 1,
    header: c.header,
    takenFor:
      c.role === null
        ? "not used"
        : [c.role, c.axis ?? (c.motor === null ? "" : String(c.motor))].join(" ").trim(),
    unit: c.role === null ? "" : c.unit,
    scale: c.role === null ? "" : scaleText(c),
    how: c.role === null ? "" : c.how,
    why: c.why,
  }));
}

function scaleText({ scale, offset }: ColumnReading): string {
  const factor = String(Number(scale.toPrecision(6)));
  return offset === 0 ? factor : `(x - ${offset}) * ${factor}`;
}

/** The map that says what was read; reading the same file with it gives the same log. */
export function columnMapFrom(log: Pick<FlightLog, "columns">): ColumnMap {
  return {
    columns: log.columns
      .filter((c) => c.role !== null)
      .map((c) => ({
        header: c.header,
        column: c.index + 1,
        role: c.role as Role,
        ...(c.axis !== null && { axis: c.axis }),
        ...(c.motor !== null && { motor: c.motor }),
        unit: c.unit,
        scale: c.scale,
        ...(c.offset !== 0 && { offset: c.offset }),
        ...(c.electrical !== null && { electrical: c.electrical }),
      })),
  };
}

/** The map of what the words alone recognise, to be completed by the user. */
export function recognised(planned: readonly PlannedColumn[]): ColumnMap {
  return {
    columns: planned
      .filter((c) => c.role !== null && c.role !== "gyro")
      .map(({ header, index, role, axis, motor, unit }) => ({
        header,
        column: index + 1,
        role: role as Role,
        ...(axis !== null && { axis }),
        ...(motor !== null && { motor }),
        unit: unit ?? "",
        scale: SECONDS_PER[unit ?? ""] ?? 1,
      })),
  };
}

/**
 * Reads the text of a column map and checks it against its schema.
 *
 * @throws {InputError} "content"
 */
export async function parseColumnMap(text: string, file: string): Promise<ColumnMap> {
  let value: unknown;
  try {
    value = JSON.parse(text.replace(/^\uFEFF/, ""));
  } catch (error) {
    throw new InputError(
      "content",
      `column map: not valid JSON: ${cleanText((error as Error).message)}`,
      "mend the file",
      { file },
    );
  }
  const { schemaErrors } = await import("../io/schema.js");
  const errors = await schemaErrors("column-map", value);
  if (errors.length > 0) {
    throw new InputError("content", `column map: ${errors[0]}`, "see schema/column-map.schema.json", {
      file,
    });
  }
  return value as ColumnMap;
}

/**
 * Columns as the map says, in place of what the words say.
 *
 * @param headers names as in the file, or null for a file without
 * @throws {InputError} "content" when the map names a column that the file does not have
 */
export function planFromMap(
  map: ColumnMap,
  headers: readonly string[] | null,
  width: number,
  file: string,
): PlannedColumn[] {
  const planned: PlannedColumn[] = Array.from({ length: width }, (_, index) =>
    unused(index, headers?.[index] ?? `column ${index + 1}`),
  );
  for (const entry of map.columns) {
    const index = positionOf(entry, headers, width);
    if (index === null) {
      const name = entry.header ?? `column ${entry.column}`;
      throw new InputError(
        "content",
        `the column map names "${cleanText(name)}", which the log does not have`,
        "mend the map (see: quietspar columns)",
        { file },
      );
    }
    planned[index] = mapped(planned[index]!, entry);
  }
  return planned;
}

/** By name where the name is unique, by position where it is not or where there is none. */
function positionOf(entry: MappedColumn, headers: readonly string[] | null, width: number): number | null {
  const at = entry.column === undefined ? null : entry.column - 1;
  if (entry.header !== undefined && headers !== null) {
    if (at !== null && headers[at] === entry.header) return at;
    const found = headers.indexOf(entry.header);
    return found < 0 ? null : found;
  }
  return at !== null && at >= 0 && at < width ? at : null;
}

const unused = (index: number, header: string): PlannedColumn => ({
  index,
  header,
  role: null,
  axis: null,
  motor: null,
  unit: null,
  flavour: null,
  electrical: null,
  set: "",
  how: "map",
  why: "not in the column map",
});

function mapped(column: PlannedColumn, entry: MappedColumn): PlannedColumn {
  return {
    ...column,
    role: entry.role,
    axis: entry.axis ?? null,
    motor: entry.motor ?? null,
    unit: entry.unit,
    electrical: entry.electrical ?? null,
    set: `${entry.role} ${entry.unit} ${entry.scale} ${entry.offset ?? 0}`,
    why: "the column map",
    ...(entry.role === "time" && entry.unit in SECONDS_PER
      ? {}
      : { scale: entry.scale, offset: entry.offset ?? 0 }),
  };
}
