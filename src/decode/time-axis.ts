import type { DecodeWarning } from "./flight-log.js";

/** Clocks that count microseconds in 32 bits start over at this value. */
const WRAP_US = 2 ** 32;

/** Times in seconds and what was odd about them. */
export interface TimeAxis {
  readonly warnings: readonly DecodeWarning[];
}

/**
 * Turns a time column into seconds, in place: undoes a 32-bit microsecond wrap, fills cells without a number,
 * counts time that stands still or goes back. What they mean is the timeline's to decide.
 *
 * @param time the column's numbers; seconds afterwards
 * @param microseconds the column counts microseconds
 */
export function toSeconds(time: Float64Array, secondsPer: number, microseconds: boolean): TimeAxis {
  const warnings: DecodeWarning[] = [];
  const filled = fillLost(time);
  const wraps = microseconds ? unwrap(time) : 0;
  for (let i = 0; i < time.length; i++) time[i] = time[i]! * secondsPer;
  const still = countSteps(time, (step) => step === 0);
  const back = countSteps(time, (step) => step < 0);
  const note = (id: string, message: string, found: { count: number; row: number | null }): void => {
    if (found.count > 0) warnings.push({ id, message, ...found });
  };
  note("time-missing", "rows without a time, placed between their neighbours", filled);
  if (wraps > 0)
    warnings.push({
      id: "time-wrap",
      message: "the microsecond clock started over at 2^32; undone",
      count: wraps,
      row: null,
    });
  note("time-still", "rows whose time does not advance", still);
  note("time-back", "rows whose time goes back", back);
  return { warnings };
}

/** Rows without a time lie between their neighbours. */
function fillLost(time: Float64Array): { count: number; row: number | null } {
  let count = 0;
  let row: number | null = null;
  for (let i = 0; i < time.length; i++) {
    if (!Number.isNaN(time[i]!)) continue;
    const from = i;
    while (i < time.length && Number.isNaN(time[i]!)) i++;
    count += i - from;
    row ??= from + 1;
    const before = from > 0 ? time[from - 1]! : Number.NaN;
    const after = i < time.length ? time[i]! : Number.NaN;
    for (let k = from; k < i; k++) {
      const share = (k - from + 1) / (i - from + 1);
      time[k] = Number.isNaN(before)
        ? after
        : Number.isNaN(after)
          ? before
          : before + share * (after - before);
    }
  }
  return { count, row };
}

function unwrap(time: Float64Array): number {
  let wraps = 0;
  let last = time[0] ?? 0;
  for (let i = 1; i < time.length; i++) {
    const now = time[i]!;
    if (now - last < -WRAP_US / 2) wraps++;
    last = now;
    time[i] = now + wraps * WRAP_US;
  }
  return wraps;
}

function countSteps(
  time: Float64Array,
  odd: (step: number) => boolean,
): { count: number; row: number | null } {
  let count = 0;
  let row: number | null = null;
  for (let i = 1; i < time.length; i++) {
    if (!odd(time[i]! - time[i - 1]!)) continue;
    count++;
    row ??= i + 1;
  }
  return { count, row };
}

const DAY_S = 86_400;
const MIDNIGHT_SLACK_S = 60;

/** Seconds from the first row; a time of day that starts over at midnight goes on. */
export function fromFirstStamp(time: Float64Array): void {
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
