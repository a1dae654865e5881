import type { RowIndex } from "../decode/clock.js";
import { hasHoles } from "../decode/holes.js";
import type { Gap } from "./timeline.js";

/** Lone lost samples are filled while they are fewer than this share of all. */
const MOST_FILLED_SHARE = 0.001;

/**
 * A column on the clock's samples. Without lost or repeated rows the column itself is returned, not a copy.
 * Lost samples hold a straight line between their neighbours, a lone one a cubic through four of them.
 *
 * @param values one value per row
 */
export function layOnClock(values: Float32Array, clock: RowIndex): Float32Array {
  const { index, length } = clock;
  if (index === null) return values;
  const laid = new Float32Array(length);
  let last = 0;
  laid[0] = values[0]!;
  for (let row = 1; row < values.length; row++) {
    const at = index[row]!;
    if (at < 0) continue;
    laid[at] = values[row]!;
    const step = (laid[at]! - laid[last]!) / (at - last);
    for (let k = last + 1; k < at; k++) laid[k] = laid[last]! + step * (k - last);
    last = at;
  }
  smoothLone(laid, clock);
  return laid;
}

/** Replaces the straight line at lone lost samples by the cubic through two neighbours on each side (Lagrange). */
function smoothLone(laid: Float32Array, { index }: RowIndex): void {
  eachLost(index, (from, to) => {
    if (to - from !== 1 || from < 2 || from + 2 >= laid.length) return;
    const cubic = (-laid[from - 2]! + 4 * laid[from - 1]! + 4 * laid[from + 1]! - laid[from + 2]!) / 6;
    if (Number.isFinite(cubic)) laid[from] = cubic;
  });
}

/** Calls back with every run of samples that no row fills, `from` inclusive, `to` exclusive. */
function eachLost(index: Int32Array | null, visit: (from: number, to: number) => void): void {
  if (index === null) return;
  let last = 0;
  for (let row = 1; row < index.length; row++) {
    const at = index[row]!;
    if (at < 0) continue;
    if (at - last > 1) visit(last + 1, at);
    last = at;
  }
}

/** Valid runs shorter than this between gaps are too short for any use and go with the gaps. */
const SHORTEST_RUN = 16;

/**
 * Joins gaps that only crumbs keep apart: where half the rows are lost, the other half is one gap, not thousands.
 */
export function dropCrumbs(valid: Uint8Array): void {
  let from = valid.indexOf(0);
  while (from >= 0) {
    const end = valid.indexOf(1, from);
    if (end < 0) return;
    const next = valid.indexOf(0, end);
    if (next < 0) return;
    if (next - end < SHORTEST_RUN) valid.fill(0, end, next);
    from = next;
  }
}

/**
 * Marks lost samples invalid; lone ones stay valid (they are filled) while they are few.
 *
 * @returns how many were filled
 */
export function markLost(valid: Uint8Array, { index }: RowIndex): { readonly filled: number } {
  return markRuns(valid, (visit) => eachLost(index, visit));
}

/**
 * Marks samples invalid whose cell in any of the series holds no number; lone ones stay valid (they are filled)
 * while they are few.
 *
 * @returns how many were filled
 */
export function markHoles(valid: Uint8Array, set: readonly Float32Array[]): { readonly filled: number } {
  if (!set.some(hasHoles)) return { filled: 0 };
  const holed = (i: number): boolean => set.some((series) => Number.isNaN(series[i]!));
  return markRuns(valid, (visit) => {
    for (let i = 0; i < valid.length; i++) {
      if (!holed(i)) continue;
      const from = i;
      while (i < valid.length && holed(i)) i++;
      visit(from, i);
    }
  });
}

type Visit = (from: number, to: number) => void;

function markRuns(valid: Uint8Array, each: (visit: Visit) => void): { readonly filled: number } {
  const lone = (from: number, to: number): boolean => to - from === 1 && from > 0 && to < valid.length;
  let count = 0;
  each((from, to) => {
    if (lone(from, to) && valid[from] === 1) count++;
  });
  const fill = count <= MOST_FILLED_SHARE * valid.length;
  each((from, to) => {
    if (!(fill && lone(from, to))) valid.fill(0, from, to);
  });
  return { filled: fill ? count : 0 };
}

/**
 * The series with a straight line over cells without a number, held at the ends. A series without holes is
 * returned as it is; else a copy, so that the log stays as it was read.
 */
export function withoutHoles(series: Float32Array): Float32Array {
  if (!hasHoles(series)) return series;
  const whole = Float32Array.from(series);
  let last = -1;
  for (let i = 0; i <= whole.length; i++) {
    if (i < whole.length && Number.isNaN(whole[i]!)) continue;
    const before = last >= 0 ? whole[last]! : i < whole.length ? whole[i]! : 0;
    const after = i < whole.length ? whole[i]! : before;
    for (let k = last + 1; k < i; k++) whole[k] = before + ((after - before) * (k - last)) / (i - last);
    last = i;
  }
  return whole;
}

/** Runs of invalid samples as stretches of time. */
export function gapsOf(
  valid: Uint8Array,
  { startS, sampleRate }: { startS: number; sampleRate: number },
): Gap[] {
  const gaps: Gap[] = [];
  for (let i = valid.indexOf(0); i >= 0; i = valid.indexOf(0, i)) {
    const end = valid.indexOf(1, i);
    const to = end < 0 ? valid.length : end;
    gaps.push({ fromS: startS + i / sampleRate, toS: startS + to / sampleRate, samples: to - i });
    i = to;
  }
  return gaps;
}
