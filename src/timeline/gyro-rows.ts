import { hasHoles } from "../decode/holes.js";

/** Up to this share of rows without a gyro number, they are rows with a hole; beyond it, rows of other signals. */
const MOST_HOLES_SHARE = 0.01;

/**
 * Rows that hold the gyro, where a log mixes signals of several rates and many rows hold none. Those rows are no
 * samples of the gyro: they neither count as lost nor set the clock.
 *
 * @param gyro the gyro columns that are analysed
 * @returns null when (nearly) all rows from `from` to `to` hold it
 */
export function rowsWithGyro(gyro: readonly Float32Array[], from: number, to: number): Int32Array | null {
  if (!gyro.some(hasHoles)) return null;
  const bare = (row: number): boolean => gyro.every((values) => Number.isNaN(values[row]!));
  let count = 0;
  for (let row = from; row < to; row++) if (bare(row)) count++;
  if (count <= MOST_HOLES_SHARE * (to - from) || count === to - from) return null;
  const rows = new Int32Array(to - from - count);
  for (let row = from, k = 0; row < to; row++) if (!bare(row)) rows[k++] = row;
  return rows;
}

/** A column at some rows; where a row holds no number, the last one before it. */
export function pickRows(values: Float32Array, rows: Int32Array): Float32Array {
  const picked = new Float32Array(rows.length);
  let last = Number.NaN;
  let next = rows[0] ?? 0;
  rows.forEach((row, k) => {
    for (; next <= row; next++) if (!Number.isNaN(values[next]!)) last = values[next]!;
    picked[k] = last;
  });
  return picked;
}
