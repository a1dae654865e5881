import { commandRange, STATED_RANGES } from "./command-range.js";
import type { How, Role } from "./flight-log.js";
import type { PlannedColumn } from "./plan-columns.js";
import { quantileOf } from "./quantile-of.js";
import { ROTOR_UNITS, type RotorUnit, rotorUnit } from "./rotor-unit.js";
import { gyroUnit } from "./settle-gyro.js";

/** A unit settled: factor and offset to the standard unit, and how it was known. */
export interface Settled {
  readonly unit: string;
  readonly scale: number;
  readonly offset: number;
  readonly how: How;
  readonly why: string;
  /** A reading that the user should check, in words. */
  readonly doubt?: string;
}

/** What a unit is decided from beside the columns themselves. */
export interface SettleContext {
  /** Rows per second. */
  readonly rate: number;
  /** The gyro as read, any unit. */
  readonly gyro: readonly Float32Array[];
  /** Factor from the gyro as it stands now to deg/s. */
  readonly gyroScale?: number;
}

const FACTOR: Readonly<Record<string, number>> = {
  "deg/s": 1,
  "rad/s": 180 / Math.PI,
  "m/s²": 1,
  g: 9.80665,
  "0.001 g": 0.00980665,
  V: 1,
  "0.001 V": 0.001,
  "0.01 V": 0.01,
};

/**
 * Every column of one set shares one unit: the values of all of them decide together.
 *
 * @returns null when nothing decides and the signal can be done without
 * @throws {InputError} "content" when the unit of the gyro cannot be told
 */
export function settleUnit(
  role: Role,
  set: readonly PlannedColumn[],
  values: readonly Float32Array[],
  context: SettleContext,
): Settled | null {
  const column = set[0]!;
  const { unit, how, why } = column;
  if (column.scale !== undefined)
    return { unit: unit ?? "", scale: column.scale, offset: column.offset ?? 0, how, why };
  if (role === "dterm") return { unit: unit ?? "log's own units", scale: 1, offset: 0, how, why };
  if (role === "throttle" || role === "motor" || role === "stick") return command(column, values);
  if (role === "rotorSpeed") return rotorSpeed(column, values, context);
  if (role === "setpoint") return setpoint(set, values, context);
  if (role === "gyroRaw" || role === "gyroFiltered") {
    const found = gyroUnit(set, values, context.rate);
    return { ...found, scale: FACTOR[found.unit] ?? 1, offset: 0 };
  }
  if (role === "accel" && (unit === null || unit === "counts")) return accel(set, values);
  if (role === "voltage" && unit === null) return voltage(column, values);
  return { unit: unit ?? "", scale: FACTOR[unit ?? ""] ?? 1, offset: 0, how, why };
}

/** The slow part of the gyro follows the setpoint: their sizes agree within this factor (ln) in the right unit. */
const TRACKING = 1.2;
const SLOW_S = 0.5;

function setpoint(
  set: readonly PlannedColumn[],
  values: readonly Float32Array[],
  { rate, gyro, gyroScale = 1 }: SettleContext,
): Settled | null {
  const { unit, how, why } = set[0]!;
  if (unit !== null) return { unit, scale: FACTOR[unit] ?? 1, offset: 0, how, why };
  const size = slowSize(values, rate);
  const settled = (name: string, because: string): Settled => ({
    unit: name,
    scale: FACTOR[name]!,
    offset: 0,
    how: "data",
    why: `${why}; ${because}`,
  });
  if (!(size > 0)) return settled("deg/s", "it never moves");
  const ratio = (slowSize(gyro, rate) * gyroScale) / size;
  const said = `the gyro's slow part is ${short(ratio)} times as large in deg/s`;
  if (Math.abs(Math.log(ratio)) < TRACKING) return settled("deg/s", said);
  if (Math.abs(Math.log(ratio / FACTOR["rad/s"]!)) < TRACKING) return settled("rad/s", said);
  return null;
}

/** RMS of the means over half a second, about their own mean, of all columns together. */
function slowSize(values: readonly Float32Array[], rate: number): number {
  const width = Math.max(1, Math.round(SLOW_S * rate));
  const means = values.map((series) => {
    const blocks = new Float32Array(Math.floor(series.length / width));
    for (let b = 0; b < blocks.length; b++) {
      let sum = 0;
      let count = 0;
      for (let i = b * width; i < (b + 1) * width; i++) {
        if (Number.isNaN(series[i]!)) continue;
        sum += series[i]!;
        count++;
      }
      blocks[b] = sum / count;
    }
    return blocks;
  });
  let squares = 0;
  let count = 0;
  for (const blocks of means) {
    const known = blocks.filter((m) => !Number.isNaN(m));
    const mean = known.reduce((a, m) => a + m, 0) / Math.max(1, known.length);
    for (const m of known) squares += (m - mean) ** 2;
    count += known.length;
  }
  return Math.sqrt(squares / Math.max(1, count));
}

function command(column: PlannedColumn, values: readonly Float32Array[]): Settled {
  const high = quantileOf(values, 0.999);
  const low = quantileOf(values, 0.001);
  const stated = column.unit === null ? undefined : STATED_RANGES[column.unit];
  const fits = stated !== undefined && high <= 1.3 * (stated.offset + 1 / stated.scale);
  if (fits) return { ...stated, how: column.how, why: column.why };
  const { unit, scale, offset, sure } = commandRange(values);
  const why = `${column.why}; values from ${short(low)} to ${short(high)}`;
  const found: Settled = { unit, scale, offset, how: "data", why };
  if (sure) return found;
  const doubt = `the full range of "${column.header}" is not known; taken as ${unit}: say it with --columns FILE`;
  return { ...found, doubt };
}

/** Electrical speeds this low belong to no flying motor: such reports count in hundreds (common practice, no source). */
const FEWEST_ELECTRICAL_RPM = 6000;

function rotorSpeed(
  column: PlannedColumn,
  values: readonly Float32Array[],
  { rate, gyro }: SettleContext,
): Settled | null {
  const { unit, how, why } = column;
  const factor = (name: string): number => ROTOR_UNITS[name as RotorUnit] ?? 1 / 60;
  if (unit === "electrical rpm") {
    const fastest = quantileOf(values, 0.95);
    if (!(fastest > 0 && fastest < FEWEST_ELECTRICAL_RPM))
      return { unit, scale: 1 / 60, offset: 0, how, why };
    const hundreds = `${why}; up to ${short(fastest)}, which a motor can fly at only in hundreds`;
    return { unit, scale: 100 / 60, offset: 0, how: "data", why: hundreds };
  }
  if (unit !== null) return { unit, scale: factor(unit), offset: 0, how, why };
  const found = rotorUnit({ speeds: values, gyro, rate });
  if (found === null) return null;
  return { unit: found.unit, scale: factor(found.unit), offset: 0, how: "data", why: `${why}; ${found.why}` };
}

const GRAVITY = 9.80665;

/** Told by gravity: the length of the vector, or the vertical part, is one g at the median of any flight. */
function accel(set: readonly PlannedColumn[], values: readonly Float32Array[]): Settled | null {
  const column = set[0]!;
  const vertical = set.findIndex((c) => c.axis === "yaw");
  if (vertical < 0) return null;
  const size = quantileOf([set.length === 3 ? lengths(values) : values[vertical]!], 0.5, true);
  const why = `${column.why}; gravity reads ${short(size)}`;
  const found = (unit: string, scale: number): Settled => ({ unit, scale, offset: 0, how: "data", why });
  if (column.unit === null && size > 0.7 && size < 1.4) return found("g", GRAVITY);
  if (column.unit === null && size > 7 && size < 14) return found("m/s²", 1);
  if (column.unit === null && size > 700 && size < 1400) return found("0.001 g", GRAVITY / 1000);
  return size > 100 ? found("counts", GRAVITY / size) : null;
}

function lengths(values: readonly Float32Array[]): Float32Array {
  return values[0]!.map((_, i) => Math.hypot(...values.map((series) => series[i]!)));
}

function voltage(column: PlannedColumn, values: readonly Float32Array[]): Settled {
  const size = quantileOf(values, 0.5, true);
  const unit = size < 100 ? "V" : size < 9000 ? "0.01 V" : "0.001 V";
  return {
    unit,
    scale: FACTOR[unit] ?? 1,
    offset: 0,
    how: "data",
    why: `${column.why}; values of about ${short(size)}`,
  };
}

const short = (value: number): string =>
  Number.isFinite(value) ? String(Number(value.toPrecision(4))) : "nothing";
