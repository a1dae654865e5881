import { InputError } from "../errors.js";
import type { Channel, ColumnReading, DecodeWarning, Role } from "./flight-log.js";
import { KEPT, type PlannedColumn } from "./plan-columns.js";
import { liveliness, upperFallDb } from "./raw-or-filtered.js";
import { settleUnit } from "./settle-channels.js";

/** Columns with nothing left open. */
export interface SettledColumns {
  readonly readings: readonly ColumnReading[];
  readonly channels: readonly Channel[];
  readonly warnings: readonly DecodeWarning[];
}

/** A fall of the upper band beyond this is a low-pass, not a sensor. Common practice, no source. */
const LOW_PASS_DB = -15;

/**
 * Lets the data decide what the words left open (raw or filtered, units), and puts every kept column into its
 * standard unit, in place.
 *
 * @param columns numbers as read, by column of the file; scaled afterwards
 * @throws {InputError} "content" when nothing decides
 */
export function settleChannels(
  columns: ReadonlyMap<number, Float32Array>,
  planned: readonly PlannedColumn[],
  file: string,
): SettledColumns {
  const settledGyro = settleGyro(columns, planned);
  const readings = new Map<number, ColumnReading>();
  const channels: Channel[] = [];
  const warnings: DecodeWarning[] = [];
  for (const set of setsOf(settledGyro.filter((c) => columns.has(c.index)))) {
    const values = set.map((c) => columns.get(c.index)!);
    const role = set[0]!.role as Role;
    const unit = settled(role, set, values, file);
    set.forEach((column, k) => {
      const series = values[k]!;
      scaleInPlace(series, unit.scale, unit.offset);
      const { index, header, axis, motor, electrical } = column;
      const why =
        unit.how === "data" && column.how === "data"
          ? `${column.why}; ${unit.why}`
          : unit.how === "data"
            ? unit.why
            : column.why;
      const how = unit.how === "data" ? "data" : column.how;
      const reading: ColumnReading = {
        index,
        header,
        role,
        axis,
        motor,
        electrical,
        unit: unit.unit,
        scale: unit.scale,
        offset: unit.offset,
        how,
        why,
      };
      readings.set(index, reading);
      if (series.some((value) => !Number.isNaN(value))) channels.push({ ...reading, role, values: series });
      else
        warnings.push({
          id: "empty-column",
          message: `column "${header}" holds no numbers`,
          count: 1,
          row: null,
        });
    });
  }
  if (!channels.some((c) => c.role === "gyroRaw" || c.role === "gyroFiltered")) {
    throw new InputError(
      "content",
      "the gyro columns hold no numbers",
      "export the log again, or name other columns with --columns FILE",
      { file },
    );
  }
  return { readings: settledGyro.map((c) => readings.get(c.index) ?? notKept(c)), channels, warnings };
}

function settled(
  role: Role,
  set: readonly PlannedColumn[],
  values: readonly Float32Array[],
  file: string,
): ReturnType<typeof settleUnit> {
  try {
    return settleUnit(role, set, values);
  } catch (error) {
    if (error instanceof InputError)
      throw new InputError(error.kind, error.message, error.remedy, { file, ...error.place });
    throw error;
  }
}

/** Columns of one role and one set of words stand together. */
function setsOf(planned: readonly PlannedColumn[]): PlannedColumn[][] {
  const sets = new Map<string, PlannedColumn[]>();
  for (const column of planned) {
    const key = `${column.role}|${column.unit ?? ""}|${column.scale ?? ""}`;
    sets.set(key, [...(sets.get(key) ?? []), column]);
  }
  return [...sets.values()];
}

/** Decides which of the unlabelled gyro sets is raw. */
function settleGyro(
  columns: ReadonlyMap<number, Float32Array>,
  planned: readonly PlannedColumn[],
): PlannedColumn[] {
  const open = new Map<string, PlannedColumn[]>();
  for (const c of planned) if (c.role === "gyro") open.set(c.set, [...(open.get(c.set) ?? []), c]);
  const sets = [...open.values()];
  const values = (set: readonly PlannedColumn[]): Float32Array[] => set.map((c) => columns.get(c.index)!);
  const has = (role: Role): boolean => planned.some((c) => c.role === role);
  const decided = new Map<number, { role: Role; why: string }>();
  const decide = (set: readonly PlannedColumn[], role: Role, why: string): void => {
    for (const c of set) decided.set(c.index, { role, why: `${c.why}; ${why}` });
  };
  if (sets.length === 2) {
    const [a, b] = sets as [PlannedColumn[], PlannedColumn[]];
    const [raw, filtered] = liveliness(values(a)) >= liveliness(values(b)) ? [a, b] : [b, a];
    decide(raw, "gyroRaw", "of two gyro sets the livelier one is raw");
    decide(filtered, "gyroFiltered", "of two gyro sets the calmer one is filtered");
  } else if (sets.length === 1) {
    const set = sets[0]!;
    if (has("gyroRaw")) decide(set, "gyroFiltered", "beside a raw set it is the filtered one");
    else if (has("gyroFiltered")) decide(set, "gyroRaw", "beside a filtered set it is the raw one");
    else {
      const falls = values(set)
        .map(upperFallDb)
        .filter((db) => !Number.isNaN(db));
      const fall = falls.length === 0 ? Number.NaN : Math.min(...falls);
      const said = `its upper band falls by ${(-fall).toFixed(0)} dB`;
      if (fall >= LOW_PASS_DB) decide(set, "gyroRaw", `${said}: no low-pass, so it is taken as raw`);
      else if (fall < LOW_PASS_DB) decide(set, "gyroFiltered", `${said}: a low-pass, so it is filtered`);
      else decide(set, "gyroFiltered", "too short to see a low-pass, so it is taken as filtered");
    }
  }
  return planned.map((c) => {
    const found = decided.get(c.index);
    return found === undefined ? c : { ...c, ...found, how: "data" as const };
  });
}

function scaleInPlace(values: Float32Array, scale: number, offset: number): void {
  if (scale === 1 && offset === 0) return;
  for (let i = 0; i < values.length; i++) values[i] = (values[i]! - offset) * scale;
}

function notKept({
  index,
  header,
  role,
  axis,
  motor,
  electrical,
  unit,
  how,
  why,
}: PlannedColumn): ColumnReading {
  const known =
    role !== null && role !== "gyro" && (KEPT.has(role) || role === "time" || role === "stick") ? role : null;
  return {
    index,
    header,
    role: known,
    axis,
    motor,
    electrical,
    unit: unit ?? "",
    scale: 1,
    offset: 0,
    how,
    why,
  };
}
