import { quantileOf } from "./quantile-of.js";

/** A throttle or motor command's scale: value 0..1 = (cell − offset) · scale. */
export interface CommandRange {
  readonly unit: string;
  readonly scale: number;
  readonly offset: number;
  /** False where several full ranges fit what the log shows. */
  readonly sure: boolean;
}

const range = (unit: string, offset: number, span: number, sure = true): CommandRange => ({
  unit,
  offset,
  scale: 1 / span,
  sure,
});

/** Ranges that a header may state. */
export const STATED_RANGES: Readonly<Record<string, CommandRange>> = {
  "0..1": range("0..1", 0, 1),
  "%": range("%", 0, 100),
  "0..1000": range("0..1000", 0, 1000),
  "1000..2000": range("1000..2000", 1000, 1000),
  "0..65535": range("0..65535", 0, 65535),
};

/** Full ranges of whole-number commands in use, by rising size (common practice, no source). */
const WHOLE_RANGES = [2047, 4095, 8191, 10_000, 65_535] as const;
/** A craft does not fly at more than its full command, nor does a flight stay below a tenth of it. */
const SLACK = 1.05;

/**
 * The range of a command from the numbers in it. All columns of one set decide together.
 *
 * - mostly negative: thrust along a downward axis, turned round;
 * - both signs: a stick about its middle;
 * - 1000..2000 needs its numbers to stay near or above 1000 (0 while disarmed is allowed), else it is 0..2047.
 *
 * @param values numbers as read
 * @example commandRange([Float32Array.of(1000, 1500, 1900)]).unit // "1000..2000"
 */
export function commandRange(values: readonly Float32Array[]): CommandRange {
  const low = quantileOf(values, 0.001);
  const high = quantileOf(values, 0.999);
  if (!(high > low) && !(high > 0)) return range("0..1", 0, 1);
  if (low < 0 && high <= 0.02 * -low) return negative(-low);
  if (low < -0.2 * high) return centred(Math.max(high, -low));
  return positive(values, high);
}

function negative(size: number): CommandRange {
  const full = smallestFull(size);
  return { unit: `-${full.full}..0`, scale: -1 / full.full, offset: 0, sure: full.sure };
}

function centred(size: number): CommandRange {
  const known = [1, 100, 500, 1000].find((end) => size <= SLACK * end);
  const full = known ?? size;
  return range(`-${full}..${full}`, -full, 2 * full, known !== undefined);
}

function positive(values: readonly Float32Array[], high: number): CommandRange {
  if (high <= SLACK) return range("0..1", 0, 1);
  if (high <= 100 * SLACK) return range("%", 0, 100);
  // What is left when the zeros of a disarmed craft are passed over.
  const moving = quantileOf(
    values.map((series) => series.filter((v) => v > 1)),
    0.01,
  );
  if (moving >= 900 && high <= 2300) return range("1000..2000", 1000, 1000);
  const { full, sure } = smallestFull(high);
  return range(`0..${full}`, 0, full, sure);
}

function smallestFull(size: number): { full: number; sure: boolean } {
  for (const full of [1, 100, 1000]) if (size <= SLACK * full) return { full, sure: true };
  const full = WHOLE_RANGES.find((end) => size <= SLACK * end) ?? size;
  return { full, sure: full === 2047 || full === 65_535 };
}
