import { findActivity } from "../decode/airborne.js";
import { rowIndex } from "../decode/clock.js";
import type { Channel, FlightLog, FlightSpan, Role } from "../decode/flight-log.js";
import { InputError } from "../errors.js";
import { type Axis, perAxis } from "../units.js";
import { pickRows, rowsWithGyro } from "./gyro-rows.js";
import { dropCrumbs, gapsOf, layOnClock, markHoles, markLost, withoutHoles } from "./resample.js";
import { insideSpans } from "./spans.js";
import type { AxisSeries, SpeedReading, Timeline } from "./timeline.js";

/** Which part of the log to lay on a clock. */
export interface TimelineOptions {
  /** From 1; default the longest airborne. */
  readonly flight?: number;
  /** Seconds of the log's clock. */
  readonly fromS?: number;
  readonly toS?: number;
}

/** Fewest samples that can be looked at. */
const FEWEST = 16;

/**
 * Lays one flight of a log on a uniform clock: lost rows become gaps (lone ones are filled), the parts in the
 * air and at rest are marked.
 *
 * @throws {InputError} "usage" when there is no such flight or the range holds no rows; "content" when time stands still
 */
export function toTimeline(log: FlightLog, options: TimelineOptions = {}): Timeline {
  const flight = chooseFlight(log, options.flight);
  const { from, to } = rowsBetween(log, flight, options);
  const rows = rowsWithGyro(analysisGyros(log.channels), from, to);
  const time = rows === null ? log.time.subarray(from, to) : Float64Array.from(rows, (row) => log.time[row]!);
  const clock = clockOf(time, log.file);
  const lay = (values: Float32Array): Float32Array =>
    layOnClock(rows === null ? values.subarray(from, to) : pickRows(values, rows), clock);
  const valid = new Uint8Array(clock.length).fill(1);
  const lost = markLost(valid, clock);
  const sampleRate = 1 / clock.step;
  const startS = time[0]!;
  const axes = (role: Role): AxisSeries => perAxis((axis) => laid(log.channels, role, axis, lay));
  const gyros = { raw: axes("gyroRaw"), filtered: axes("gyroFiltered") };
  const holes = markHoles(valid, present(hasAny(gyros.raw) ? gyros.raw : gyros.filtered));
  dropCrumbs(valid);
  const [gyroRaw, gyroFiltered] = [filledAxes(gyros.raw), filledAxes(gyros.filtered)];
  const throttle = throttleOf(log.channels, lay);
  const gyro = present(hasAny(gyroRaw) ? gyroRaw : gyroFiltered);
  const activity = findActivity({ sampleRate, gyro, throttle: throttle.series });
  return {
    sampleRate,
    startS,
    length: clock.length,
    valid,
    gaps: gapsOf(valid, { startS, sampleRate }),
    filledSamples: lost.filled + holes.filled,
    jitterShare: clock.jitterShare,
    gyroRaw,
    gyroFiltered,
    dterm: filledAxes(axes("dterm")),
    setpoint: filledAxes(axes("setpoint")),
    throttle: throttle.series,
    throttleFrom: throttle.from,
    motors: byMotor(log.channels, "motor").map((c) => withoutHoles(lay(c.values))),
    motorRange: motorRangeOf(log.channels),
    rotorSpeed: byMotor(log.channels, "rotorSpeed").map((c) => speedReading(c, lay)),
    accel: filledAxes(axes("accel")),
    voltage: laidAny(log.channels, "voltage", lay),
    flight: flight.flight,
    airborne: insideSpans(activity.airborne, { sampleRate, length: clock.length }),
    resting: activity.resting,
  };
}

function chooseFlight(log: FlightLog, asked: number | undefined): FlightSpan {
  if (asked !== undefined) {
    const found = log.flights.find((f) => f.flight === asked);
    if (found !== undefined) return found;
    const count = log.flights.length;
    throw new InputError(
      "usage",
      `--flight ${asked}: the log holds ${count} flight${count === 1 ? "" : "s"}`,
      "see: quietspar columns",
      { file: log.file },
    );
  }
  const longest = log.flights.reduce<FlightSpan | null>(
    (best, f) => (best === null || f.airborneS > best.airborneS ? f : best),
    null,
  );
  if (longest === null)
    throw new InputError("content", "no flight found", "export the whole log", { file: log.file });
  return longest;
}

function rowsBetween(
  log: FlightLog,
  flight: FlightSpan,
  { fromS, toS }: TimelineOptions,
): { from: number; to: number } {
  let from = flight.fromRow;
  let to = flight.toRow;
  if (fromS !== undefined) while (from < to && log.time[from]! < fromS) from++;
  if (toS !== undefined) while (to > from && log.time[to - 1]! > toS) to--;
  if (to - from >= FEWEST) return { from, to };
  const rows = `${to - from} row${to - from === 1 ? "" : "s"}`;
  if (fromS === undefined && toS === undefined) {
    throw new InputError("content", `the flight holds only ${rows}`, "export the whole log", {
      file: log.file,
    });
  }
  const range = `from ${flight.fromS.toFixed(2)} s to ${flight.toS.toFixed(2)} s`;
  throw new InputError("usage", `the range asked for holds ${rows}`, `the flight runs ${range}`, {
    file: log.file,
  });
}

function clockOf(time: Float64Array, file: string): ReturnType<typeof rowIndex> {
  try {
    const clock = rowIndex(time);
    // A clock that jumps about would need more samples than any log has rows.
    if (clock.length <= 64 * time.length + 100_000) return clock;
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
  }
  throw new InputError(
    "content",
    "the time column does not advance evenly",
    "name another time column with --columns FILE, or give --rate HZ",
    { file },
  );
}

function laid(
  channels: readonly Channel[],
  role: Role,
  axis: Axis,
  lay: (v: Float32Array) => Float32Array,
): Float32Array | null {
  const found = channels.find((c) => c.role === role && c.axis === axis);
  return found === undefined ? null : lay(found.values);
}

function laidAny(
  channels: readonly Channel[],
  role: Role,
  lay: (v: Float32Array) => Float32Array,
): Float32Array | null {
  const found = channels.find((c) => c.role === role);
  return found === undefined ? null : withoutHoles(lay(found.values));
}

const hasAny = (series: AxisSeries): boolean => Object.values(series).some((s) => s !== null);

const present = (series: AxisSeries): Float32Array[] => Object.values(series).filter((s) => s !== null);

function filledAxes(series: AxisSeries): AxisSeries {
  return perAxis((axis) => (series[axis] === null ? null : withoutHoles(series[axis])));
}

/** The gyro columns that decide which rows count: raw ones, else filtered ones. */
function analysisGyros(channels: readonly Channel[]): Float32Array[] {
  const of = (role: Role): Float32Array[] => channels.filter((c) => c.role === role).map((c) => c.values);
  const raw = of("gyroRaw");
  return raw.length > 0 ? raw : of("gyroFiltered");
}

function byMotor(channels: readonly Channel[], role: Role): Channel[] {
  return channels.filter((c) => c.role === role).sort((a, b) => (a.motor ?? 0) - (b.motor ?? 0));
}

function speedReading(channel: Channel, lay: (v: Float32Array) => Float32Array): SpeedReading {
  return { motor: channel.motor, hz: lay(channel.values), electrical: channel.electrical };
}

/** The throttle column, else the mean of the motor commands. */
function throttleOf(
  channels: readonly Channel[],
  lay: (v: Float32Array) => Float32Array,
): { series: Float32Array | null; from: "throttle" | "motors" | null } {
  const throttle = laidAny(channels, "throttle", lay);
  if (throttle !== null)
    return { series: throttle.map((v) => Math.min(1, Math.max(0, v))), from: "throttle" };
  const motors = byMotor(channels, "motor").map((c) => withoutHoles(lay(c.values)));
  if (motors.length === 0) return { series: null, from: null };
  const mean = new Float32Array(motors[0]!.length);
  for (let i = 0; i < mean.length; i++) {
    let sum = 0;
    for (const motor of motors) sum += motor[i]!;
    mean[i] = Math.min(1, Math.max(0, sum / motors.length));
  }
  return { series: mean, from: "motors" };
}

const FULL_COMMAND: Readonly<Record<string, number>> = { "%": 100, "0..1": 1, "0..1000": 1000 };

/** Full motor command in the D-term's unit, where the D-term's header states a share of it. */
function motorRangeOf(channels: readonly Channel[]): number | null {
  const dterm = channels.find((c) => c.role === "dterm");
  return dterm === undefined ? null : (FULL_COMMAND[dterm.unit] ?? null);
}
