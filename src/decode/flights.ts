import { findActivity } from "./airborne.js";
import type { Channel, FlightSpan } from "./flight-log.js";

/** A gap this long, or time that steps back this far, begins another flight. */
const NEW_FLIGHT_S = 10;
const STEP_BACK_S = 1;
const FEWEST_ROWS = 16;

/**
 * Splits a file into flights where time steps back or pauses for long. Parts of a few rows are no flight and go
 * with none.
 */
export function findFlights(time: Float64Array, channels: readonly Channel[]): FlightSpan[] {
  const starts = [0];
  for (let i = 1; i < time.length; i++) {
    const step = time[i]! - time[i - 1]!;
    if (step > NEW_FLIGHT_S || step < -STEP_BACK_S) starts.push(i);
  }
  const spans = starts.map((fromRow, k) => ({ fromRow, toRow: starts[k + 1] ?? time.length }));
  const long = spans.filter(({ fromRow, toRow }) => toRow - fromRow >= FEWEST_ROWS);
  const kept = long.length > 0 ? long : spans.slice(0, 1);
  return kept.map(({ fromRow, toRow }, k) => ({
    flight: k + 1,
    fromRow,
    toRow,
    fromS: time[fromRow] ?? 0,
    toS: time[toRow - 1] ?? 0,
    airborneS: airborneSeconds(time, channels, fromRow, toRow),
  }));
}

function airborneSeconds(
  time: Float64Array,
  channels: readonly Channel[],
  fromRow: number,
  toRow: number,
): number {
  const seconds = time[toRow - 1]! - time[fromRow]!;
  if (!(seconds > 0)) return 0;
  const sampleRate = (toRow - fromRow - 1) / seconds;
  const cut = (c: Channel): Float32Array => c.values.subarray(fromRow, toRow);
  const gyro = gyroChannels(channels).map(cut);
  const throttle = channels.find((c) => c.role === "throttle");
  const { airborne } = findActivity({
    sampleRate,
    gyro,
    throttle: throttle === undefined ? null : cut(throttle),
  });
  return airborne.reduce((sum, span) => sum + (span.to - span.from), 0) / sampleRate;
}

/** The gyro columns to go by: raw ones, else filtered ones. */
function gyroChannels(channels: readonly Channel[]): Channel[] {
  const raw = channels.filter((c) => c.role === "gyroRaw");
  return raw.length > 0 ? raw : channels.filter((c) => c.role === "gyroFiltered");
}
