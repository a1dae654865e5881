import { SIZE } from "../theme.js";
import { textWidth } from "./text-width.js";

/** A point in the drawing's units with its name; heavier ones are placed first. */
export interface NamedPoint {
  readonly x: number;
  readonly y: number;
  readonly text: string;
  readonly weight?: number;
}

export interface PlacedName extends NamedPoint {
  /** Left end and middle height of the name. */
  readonly left: number;
  readonly middle: number;
}

interface Rect {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

const HEIGHT = SIZE.label + 3;
const DOT = 7;

/**
 * Names beside their points (right, left, above, below: the first free place), none over another name or point.
 * A name without a free place is left out: the table has it.
 */
export function nameBeside(
  points: readonly NamedPoint[],
  room: { width: number; height: number },
): PlacedName[] {
  const taken: Rect[] = points.map((p) => ({ x: p.x - DOT, y: p.y - DOT, width: 2 * DOT, height: 2 * DOT }));
  const placed: PlacedName[] = [];
  for (const point of [...points].sort((a, b) => (b.weight ?? 0) - (a.weight ?? 0))) {
    const width = textWidth(point.text, SIZE.label);
    const spots = [
      { x: point.x + DOT + 3, y: point.y - HEIGHT / 2 },
      { x: point.x - DOT - 3 - width, y: point.y - HEIGHT / 2 },
      { x: point.x - width / 2, y: point.y - DOT - 2 - HEIGHT },
      { x: point.x - width / 2, y: point.y + DOT + 2 },
    ].map((spot) => ({ ...spot, width, height: HEIGHT }));
    const free = spots.find(
      (s) =>
        s.x >= 2 &&
        s.y >= 0 &&
        s.x + s.width <= room.width - 2 &&
        s.y + HEIGHT <= room.height &&
        !taken.some((t) => touch(s, t)),
    );
    if (!free) continue;
    taken.push(free);
    placed.push({ ...point, left: free.x, middle: free.y + HEIGHT / 2 });
  }
  return placed;
}

function touch(a: Rect, b: Rect): boolean {
  return a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;
}
