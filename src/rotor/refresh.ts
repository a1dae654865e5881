import { quantileOf } from "./quantile.js";

const MOST_LOOKED_AT = 20000;
/** Share of moves by several steps from which their spacing is trusted. */
const LIVELY = 0.03;
/** A period shorter than this cannot be told from chance by multiples, rows. */
const SHORTEST_PERIOD = 4.3;
/** Share of the stretches that must be whole multiples of the period, within a row. */
const PERIODIC = 0.85;

/**
 * Rows between fresh readings of a speed report that holds its value in between and is rounded.
 *
 * Where the speed is lively, a reading moves by several rounding steps at every refresh, and the usual stretch
 * between such moves is the period. Where it is calm, a reading stands for several refreshes: then the stretches are
 * whole multiples of the period. A report that is fresh in every row shows neither.
 *
 * @param at rows at which the report changed
 * @param hz its value there
 * @param step rounding step of the report
 * @returns 1 when every row is fresh
 * @example refreshRows(Int32Array.of(0, 10, 20, 40), …) // 10, given enough changes
 */
export function refreshRows(at: Int32Array, hz: Float64Array, step: number): number {
  return periodOfMoves(at, hz, step) ?? periodOfStretches(at) ?? 1;
}

function periodOfMoves(at: Int32Array, hz: Float64Array, step: number): number | null {
  const stride = Math.max(1, Math.floor(at.length / MOST_LOOKED_AT));
  const several = (i: number): boolean => Math.abs(hz[i]! - hz[i - 1]!) > 1.5 * step;
  const lengths: number[] = [];
  let looked = 0;
  for (let i = 2; i < at.length; i += stride) {
    looked++;
    if (several(i) && several(i - 1)) lengths.push(at[i]! - at[i - 1]!);
  }
  if (lengths.length < Math.max(8, LIVELY * looked)) return null;
  const middle = quantileOf(lengths, 0.5);
  const usual = lengths.filter((n) => n > 0.4 * middle && n < 1.6 * middle);
  return usual.reduce((sum, n) => sum + n, 0) / usual.length;
}

function periodOfStretches(at: Int32Array): number | null {
  const stride = Math.max(1, Math.floor(at.length / MOST_LOOKED_AT));
  const lengths: number[] = [];
  for (let i = 1; i < at.length; i += stride) lengths.push(at[i]! - at[i - 1]!);
  if (lengths.length < 20) return null;
  const shortest = quantileOf(lengths, 0.03);
  if (shortest < SHORTEST_PERIOD) return null;
  const single = lengths.filter((n) => n >= shortest - 1.01 && n <= shortest + 1.01);
  const period = single.reduce((sum, n) => sum + n, 0) / single.length;
  const few = lengths.filter((n) => n < 8 * period);
  const whole = few.filter((n) => Math.abs(n - period * Math.round(n / period)) <= 1.01);
  return whole.length > PERIODIC * few.length ? period : null;
}
