import { textWidth } from "./text-width.js";

export interface LabelAt {
  /** Where the labelled thing is, in the drawing's units. */
  readonly at: number;
  readonly text: string;
}

export interface PlacedLabel extends LabelAt {
  /** Middle of the label. */
  readonly x: number;
  /** Row from 0. */
  readonly row: number;
}

/**
 * Places labels along a line in rows so that none touches another: each goes to the first row where it fits at or
 * near its place; what fits nowhere is left out and counted.
 *
 * @param room ends of the line, number of rows, letter size, gap between labels
 */
export function placeInRows(
  labels: readonly LabelAt[],
  room: { from: number; to: number; rows: number; size: number; gap?: number },
): { placed: PlacedLabel[]; leftOut: LabelAt[] } {
  const gap = room.gap ?? 8;
  const free = new Array<number>(room.rows).fill(room.from);
  const placed: PlacedLabel[] = [];
  const leftOut: LabelAt[] = [];
  for (const label of [...labels].sort((a, b) => a.at - b.at)) {
    const half = textWidth(label.text, room.size) / 2;
    const wish = Math.min(Math.max(label.at, room.from + half), room.to - half);
    const row = bestRow(free, wish - half);
    const x = Math.max(wish, free[row]! + half);
    if (x + half > room.to + 0.01 || x - label.at > half + 60) leftOut.push(label);
    else {
      free[row] = x + half + gap;
      placed.push({ ...label, x, row });
    }
  }
  return { placed, leftOut };
}

/** The first row that is free at `start`, else the one that is free soonest. */
function bestRow(free: readonly number[], start: number): number {
  const open = free.findIndex((f) => f <= start);
  return open >= 0 ? open : free.indexOf(Math.min(...free));
}

/**
 * Spreads labels of one height along a line so that neighbours are at least `step` apart, each as near to its
 * place as the others allow. Labels keep their order.
 *
 * @returns the places, in the order of `at`
 */
export function spread(at: readonly number[], room: { from: number; to: number; step: number }): number[] {
  const order = at.map((value, i) => ({ value, i })).sort((a, b) => a.value - b.value || a.i - b.i);
  const step = Math.min(room.step, (room.to - room.from) / Math.max(1, at.length - 1));
  const places = order.map((o) => o.value);
  for (let k = 0; k < places.length; k++) {
    const least = k === 0 ? room.from : places[k - 1]! + step;
    places[k] = Math.max(places[k]!, least);
  }
  for (let k = places.length - 1; k >= 0; k--) {
    const most = k === places.length - 1 ? room.to : places[k + 1]! - step;
    places[k] = Math.min(places[k]!, most);
  }
  const result = new Array<number>(at.length);
  for (const [k, o] of order.entries()) result[o.i] = places[k]!;
  return result;
}
