import { InputError } from "../errors.js";
import { candidateMap } from "./candidate-map.js";
import type { Channel, ColumnReading, DecodeWarning, Role } from "./flight-log.js";
import { dropInfinite, hasHoles } from "./holes.js";
import { KEPT, type PlannedColumn } from "./plan-columns.js";
import { type SettleContext, type Settled, settleUnit } from "./settle-channels.js";
import { settleGyroSets } from "./settle-sets.js";
import { UndecidedError } from "./undecided.js";

/** Columns with nothing left open. */
export interface SettledColumns {
  readonly readings: readonly ColumnReading[];
  readonly channels: readonly Channel[];
  readonly warnings: readonly DecodeWarning[];
}

/** What the body of a file gave. */
export interface ReadColumns {
  /** Numbers as read, by column of the file; scaled in place. */
  readonly columns: ReadonlyMap<number, Float32Array>;
  readonly planned: readonly PlannedColumn[];
  /** Rows per second. */
  readonly rate: number;
  readonly file: string;
}

/**
 * Lets the data decide what the words left open (raw or filtered, units), and puts every kept column into its
 * standard unit, in place.
 *
 * @throws {InputError} "content" when nothing decides
 */
export function settleChannels({ columns, planned, rate, file }: ReadColumns): SettledColumns {
  const infinite = [...columns.values()].reduce((sum, values) => sum + dropInfinite(values), 0);
  const settled = settleGyroSets(columns, planned);
  const kept = settled.filter((c) => c.role !== null && KEPT.has(c.role) && columns.has(c.index));
  const sets = gyroFirst(setsOf(kept));
  const context: SettleContext = { rate, gyro: gyroOf(kept, columns) };
  const units = unitsOf(sets, columns, context, file);
  const readings = new Map<number, ColumnReading>();
  const channels: Channel[] = [];
  const warnings: DecodeWarning[] = [];
  const warn = (id: string, message: string, count = 1): void =>
    void warnings.push({ id, message, count, row: null });
  if (infinite > 0) warn("too-large", "numbers too large to be a signal, taken as missing", infinite);
  sets.forEach((set, k) => {
    const unit = units[k]!;
    if (unit?.doubt !== undefined) warn("unit-doubtful", unit.doubt);
    if (unit === null) warn("unit-unknown", notTold(set[0]!));
    for (const column of set) {
      const reading =
        unit === null ? notKept({ ...column, role: null, why: notTold(column) }) : readingOf(column, unit);
      readings.set(column.index, reading);
      if (unit === null || reading.role === null) continue;
      const values = columns.get(column.index)!;
      scaleInPlace(values, unit);
      if (values.some((value) => !Number.isNaN(value)))
        channels.push({ ...reading, role: reading.role, values });
      else warn("empty-column", `column "${column.header}" holds no numbers`);
    }
  });
  requireGyro(channels, file);
  const dense = channels.filter((channel) => !isSparse(channel, channels, warn));
  return { readings: settled.map((c) => readings.get(c.index) ?? notKept(c)), channels: dense, warnings };
}

const notTold = ({ header, role }: PlannedColumn): string =>
  `the unit of "${header}" (${role}) cannot be told, so it is not used: say it in the header or with --columns FILE`;

function requireGyro(channels: readonly Channel[], file: string): void {
  if (channels.some((c) => c.role === "gyroRaw" || c.role === "gyroFiltered")) return;
  throw new InputError(
    "content",
    "the gyro columns hold no numbers",
    "export the log again, or name other columns with --columns FILE",
    { file },
  );
}

function gyroOf(kept: readonly PlannedColumn[], columns: ReadonlyMap<number, Float32Array>): Float32Array[] {
  const of = (role: Role): PlannedColumn[] => kept.filter((c) => c.role === role);
  const raw = of("gyroRaw");
  return (raw.length > 0 ? raw : of("gyroFiltered")).map((c) => columns.get(c.index)!);
}

/** The gyro settles first: other signals are held against it. */
function gyroFirst(sets: readonly PlannedColumn[][]): PlannedColumn[][] {
  const order = (set: readonly PlannedColumn[]): number =>
    ["gyroRaw", "gyroFiltered"].indexOf(set[0]!.role ?? "");
  const gyros = sets.filter((set) => order(set) >= 0).sort((a, b) => order(a) - order(b));
  return [...gyros, ...sets.filter((set) => order(set) < 0)];
}

function unitsOf(
  sets: readonly (readonly PlannedColumn[])[],
  columns: ReadonlyMap<number, Float32Array>,
  context: SettleContext,
  file: string,
): (Settled | null)[] {
  let gyroUnit: Settled | null = null;
  return sets.map((set) => {
    const role = set[0]!.role as Role;
    const values = set.map((c) => columns.get(c.index)!);
    const isGyro = role === "gyroRaw" || role === "gyroFiltered";
    // A filtered set beside a raw one is written in the same unit when no word says otherwise.
    if (isGyro && gyroUnit !== null && set[0]!.unit === null && set[0]!.scale === undefined)
      return { ...gyroUnit, why: `${set[0]!.why}; the unit of the other gyro set` };
    try {
      const unit = settleUnit(role, set, values, { ...context, gyroScale: gyroUnit?.scale ?? 1 });
      if (isGyro) gyroUnit ??= unit;
      return unit;
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      const place = { file, ...error.place };
      throw new UndecidedError(error.message, error.remedy, place, candidateMap(sets, columns, context));
    }
  });
}

function readingOf(column: PlannedColumn, settled: Settled): ColumnReading {
  const { index, header, axis, motor, electrical } = column;
  const { unit, scale, offset } = settled;
  const byData = settled.how === "data";
  const how = byData ? "data" : column.how;
  const why = byData ? settled.why : column.why;
  return { index, header, role: column.role as Role, axis, motor, electrical, unit, scale, offset, how, why };
}

/** Beyond this share of missing cells a series' upper band is the interpolation's, not the signal's. */
const MOST_MISSING_SHARE = 0.01;

/** Filtered gyro or D-term logged more rarely than the gyro that is analysed: no spectrum of it is true. */
function isSparse(
  channel: Channel,
  channels: readonly Channel[],
  warn: (id: string, message: string) => void,
): boolean {
  const gyro = channels.find((c) => c.role === "gyroRaw") ?? channels.find((c) => c.role === "gyroFiltered");
  if (gyro === undefined || channel.role === gyro.role) return false;
  if (channel.role !== "gyroFiltered" && channel.role !== "dterm") return false;
  if (!hasHoles(channel.values)) return false;
  let rows = 0;
  let missing = 0;
  for (let i = 0; i < gyro.values.length; i++) {
    if (Number.isNaN(gyro.values[i]!)) continue;
    rows++;
    if (Number.isNaN(channel.values[i]!)) missing++;
  }
  if (missing <= MOST_MISSING_SHARE * rows) return false;
  const share = ((100 * missing) / rows).toFixed(0);
  warn(
    "sparse-column",
    `column "${channel.header}" is empty in ${share} % of the gyro's rows, so it is not used`,
  );
  return true;
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

/** Values in the standard unit, in place. A command below its range's foot is a motor that is off. */
function scaleInPlace(values: Float32Array, { scale, offset }: Settled): void {
  if (scale === 1 && offset === 0) return;
  const off = offset === STOPPED_US ? 0 : Number.NEGATIVE_INFINITY;
  for (let i = 0; i < values.length; i++) {
    const value = (values[i]! - offset) * scale;
    values[i] = value > off || Number.isNaN(value) ? value : off;
  }
}

/** Pulse length of a stopped motor, the foot of the range 1000..2000 µs. */
const STOPPED_US = 1000;

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
