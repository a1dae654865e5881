import type { RowIndex } from "../decode/clock.js";
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

/**
 * Marks lost samples invalid; lone ones stay valid (they are filled) while they are few.
 *
 * @returns how many were filled
 */
export function markLost(valid: Uint8Array, { index, length }: RowIndex): { readonly filled: number } {
  let lone = 0;
  eachLost(index, (from, to) => {
    if (to - from === 1) lone++;
  });
  const fill = lone <= MOST_FILLED_SHARE * length;
  eachLost(index, (from, to) => {
    if (!(fill && to - from === 1)) valid.fill(0, from, to);
  });
  return { filled: fill ? lone : 0 };
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
