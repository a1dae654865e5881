import type { DrawnSeries } from "../../evidence.js";

/** A point of a drawn series; y is NaN where nothing is known. */
export interface SeriesPoint {
  readonly x: number;
  readonly y: number;
}

/**
 * A series with at most `most` points: neighbours are averaged, so that nothing is drawn finer than it shows.
 * A run in which nothing is known stays a gap.
 *
 * @example thinSeries({ x: [0, 1, 2, 3], y: [0, 2, 4, 6] }, 2) // [{ x: 0.5, y: 1 }, { x: 2.5, y: 5 }]
 */
export function thinSeries(series: Pick<DrawnSeries, "x" | "y">, most: number): SeriesPoint[] {
  const { x, y } = series;
  const every = Math.max(1, Math.ceil(x.length / most));
  return Array.from({ length: Math.ceil(x.length / every) }, (_, k) => {
    const from = k * every;
    const to = Math.min(x.length, from + every);
    let [xs, ys, known] = [0, 0, 0];
    for (let i = from; i < to; i++) {
      xs += x[i]!;
      if (!Number.isFinite(y[i]!)) continue;
      ys += y[i]!;
      known++;
    }
    return { x: xs / (to - from), y: known === 0 ? Number.NaN : ys / known };
  });
}
