import type { Axis } from "../units.js";

/** What a column stands for. */
export type Role =
  | "time"
  | "gyroRaw"
  | "gyroFiltered"
  | "dterm"
  | "setpoint"
  | "stick"
  | "throttle"
  | "motor"
  | "rotorSpeed"
  | "accel"
  | "voltage";

/** How it was decided: by the header's words, by the data, or by a column map given by the user. */
export type How = "header" | "data" | "map";

/** What one column was taken for, with the reason in words (shown by `quietspar columns`). */
export interface ColumnReading {
  /** Header as in the file, cleaned of control characters. */
  readonly header: string;
  /** Position in the file, from 0. */
  readonly index: number;
  /** null: the column is not needed and was skipped. */
  readonly role: Role | null;
  readonly axis: Axis | null;
  /** Motor number from 1, for `motor` and `rotorSpeed`. */
  readonly motor: number | null;
  /** Unit read, e.g. "deg/s", "rad/s", "counts", "%", "0..1", "1000..2000", "rpm", "electrical rpm", "Hz", "us". */
  readonly unit: string;
  /** Factor from the file's number to the standard unit (after subtracting `offset`). */
  readonly scale: number;
  /** Number subtracted before scaling (1000 for 1000..2000 µs, else 0). */
  readonly offset: number;
  /** Rotor speed only: true electrical, false mechanical, null when the words do not say. */
  readonly electrical: boolean | null;
  readonly how: How;
  readonly why: string;
}

/**
 * A kept column in standard units: gyro, setpoint deg/s; throttle, stick, motor 0..1; rotorSpeed Hz as
 * read (rpm / 60, perhaps electrical); accel m/s²; voltage V; dterm in the log's own units.
 * Cells that were empty or not numbers are NaN.
 */
export interface Channel extends ColumnReading {
  readonly role: Role;
  readonly values: Float32Array;
}

/** One flight of a file that may hold several; rows from 0, `toRow` exclusive; seconds of the log's clock. */
export interface FlightSpan {
  /** From 1, in file order. */
  readonly flight: number;
  readonly fromRow: number;
  readonly toRow: number;
  readonly fromS: number;
  readonly toS: number;
  /** Seconds that look airborne. */
  readonly airborneS: number;
}

/** A doubt of the decoder: what was seen, how often, where first. */
export interface DecodeWarning {
  readonly id: string;
  readonly message: string;
  readonly count: number;
  /** First row concerned, from 1 as an editor counts lines, or null. */
  readonly row: number | null;
}

/** A key/value line found before the header. */
export interface Note {
  readonly key: string;
  readonly value: string;
}

/** Everything read from one file. */
export interface FlightLog {
  /** Base name, cleaned. */
  readonly file: string;
  /** SHA-256 of the bytes as given (before any decompression), lower-case hex. */
  readonly sha256: string;
  /** Data rows read. */
  readonly rows: number;
  /** Time of every row in seconds; as recorded, so not yet uniform. */
  readonly time: Float64Array;
  readonly timeUnit: string;
  readonly timeHow: How;
  readonly timeWhy: string;
  readonly columns: readonly ColumnReading[];
  readonly channels: readonly Channel[];
  readonly flights: readonly FlightSpan[];
  readonly notes: readonly Note[];
  readonly warnings: readonly DecodeWarning[];
}
