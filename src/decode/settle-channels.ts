import type { How, Role } from "./flight-log.js";
import type { PlannedColumn } from "./plan-columns.js";
import { quantileOf } from "./quantile-of.js";
import { gyroUnit } from "./settle-gyro.js";

/** A unit settled: factor and offset to the standard unit, and how it was known. */
export interface Settled {
  readonly unit: string;
  readonly scale: number;
  readonly offset: number;
  readonly how: How;
  readonly why: string;
}

/** Command-like columns: unit → offset and full range. */
const COMMAND_RANGE: Readonly<Record<string, readonly [offset: number, range: number]>> = {
  "0..1": [0, 1],
  "%": [0, 100],
  "0..1000": [0, 1000],
  "1000..2000": [1000, 1000],
  "0..65535": [0, 65535],
};

const FACTOR: Readonly<Record<string, number>> = {
  "deg/s": 1,
  "rad/s": 180 / Math.PI,
  "m/s²": 1,
  g: 9.80665,
  "0.001 g": 0.00980665,
  V: 1,
  "0.001 V": 0.001,
  "0.01 V": 0.01,
  rpm: 1 / 60,
  "electrical rpm": 1 / 60,
  Hz: 1,
};

/** Every column of one set shares one unit: the values of all of them decide together. */
export function settleUnit(
  role: Role,
  set: readonly PlannedColumn[],
  values: readonly Float32Array[],
): Settled {
  const column = set[0]!;
  const { unit, how, why } = column;
  if (column.scale !== undefined)
    return { unit: unit ?? "", scale: column.scale, offset: column.offset ?? 0, how, why };
  if (role === "dterm") return { unit: unit ?? "log's own units", scale: 1, offset: 0, how, why };
  if (role === "throttle" || role === "motor" || role === "stick") return command(column, values);
  if (role === "rotorSpeed") return rotorSpeed(column, values);
  if (role === "gyroRaw" || role === "gyroFiltered" || role === "setpoint") {
    const found = gyroUnit(column, role, values);
    return { ...found, scale: FACTOR[found.unit] ?? 1, offset: 0 };
  }
  if (role === "accel" && unit === null) return accel(column, values);
  if (role === "voltage" && unit === null) return voltage(column, values);
  return { unit: unit ?? "", scale: FACTOR[unit ?? ""] ?? 1, offset: 0, how, why };
}

function command(column: PlannedColumn, values: readonly Float32Array[]): Settled {
  const high = quantileOf(values, 0.999);
  const low = quantileOf(values, 0.001);
  const said = column.unit !== null && column.unit in COMMAND_RANGE ? column.unit : null;
  const fits =
    said !== null &&
    (!(high > 1.3 * (COMMAND_RANGE[said]![0] + COMMAND_RANGE[said]![1])) || column.how === "map");
  const unit = fits ? said : rangeByData(low, high);
  const [offset, range] = COMMAND_RANGE[unit]!;
  const why = fits ? column.why : `values from ${short(low)} to ${short(high)}`;
  return { unit, scale: 1 / range, offset, how: fits ? column.how : "data", why };
}

function rangeByData(low: number, high: number): string {
  if (!(high > 1.05)) return "0..1";
  if (high <= 105) return "%";
  if (high <= 1050 && low < 800) return "0..1000";
  if (high <= 2300) return "1000..2000";
  return "0..65535";
}

/** Above this a bare number of a motor's speed is revolutions per minute, below it per second. */
const FEWEST_RPM = 1200;

function rotorSpeed(column: PlannedColumn, values: readonly Float32Array[]): Settled {
  const { unit, how, why } = column;
  if (unit === "rad/s") return { unit, scale: 1 / (2 * Math.PI), offset: 0, how, why };
  if (unit !== null) return { unit, scale: FACTOR[unit] ?? 1, offset: 0, how, why };
  const typical = quantileOf(values, 0.9);
  const guess = typical > FEWEST_RPM ? "rpm" : "Hz";
  return {
    unit: guess,
    scale: FACTOR[guess]!,
    offset: 0,
    how: "data",
    why: `values of about ${short(typical)}`,
  };
}

function accel(column: PlannedColumn, values: readonly Float32Array[]): Settled {
  const size = quantileOf(values, 0.9, true);
  const unit = size < 4 ? "g" : size < 60 ? "m/s²" : "counts";
  return {
    unit,
    scale: FACTOR[unit] ?? 1,
    offset: 0,
    how: "data",
    why: `${column.why}; values of about ${short(size)}`,
  };
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
