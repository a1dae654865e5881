import { powerDb } from "./decibel.js";
import type { HeatMap, ShortTimeSpectrum } from "./spectrum.js";

/** Evenly spaced columns of a map: column i is centred at `first + i · width`. */
export interface Columns {
  readonly first: number;
  readonly width: number;
  readonly count: number;
}

export interface FrameMapOptions {
  readonly columns: Columns;
  /** Neighbouring frequency bins are averaged until no more than this many rows are left. Default 500. */
  readonly maxRows?: number | undefined;
  /** What 0 dB is. Default "dB re 1 (deg/s)²/Hz". */
  readonly reference?: string | undefined;
}

/**
 * Mean PSD of the frames that fall into each column, as levels.
 *
 * @param frames short-time spectrum
 * @param position one coordinate per frame (throttle, time, rotor frequency); NaN leaves the frame out, and so does
 *   a position outside all columns
 * @param options the columns, and how many rows at most
 * @returns levels in dB, NaN in columns without a frame; `seconds` counts each frame with its hop
 * @throws {RangeError} if there is not one position per frame
 */
export function frameMap(
  frames: ShortTimeSpectrum,
  position: ArrayLike<number>,
  options: FrameMapOptions,
): HeatMap {
  const { starts, bins, power, hop, sampleRate, segmentLength } = frames;
  if (position.length !== starts.length) {
    throw new RangeError(`${position.length} positions for ${starts.length} frames`);
  }
  const { columns, maxRows = 500, reference = "dB re 1 (deg/s)²/Hz" } = options;
  const group = Math.ceil(bins / maxRows);
  const rows = Math.ceil(bins / group);
  const sum = new Float64Array(columns.count * bins);
  const count = new Float64Array(columns.count);
  for (let frame = 0; frame < starts.length; frame++) {
    const column = Math.round((position[frame]! - columns.first) / columns.width);
    if (!(column >= 0 && column < columns.count)) continue;
    count[column] = count[column]! + 1;
    const from = frame * bins;
    const to = column * bins;
    for (let k = 0; k < bins; k++) sum[to + k] = sum[to + k]! + power[from + k]!;
  }
  return {
    x: Float64Array.from({ length: columns.count }, (_, i) => columns.first + i * columns.width),
    y: rowFrequencies(bins, group, sampleRate / segmentLength),
    level: levels(sum, count, { bins, group, rows }),
    reference,
    seconds: count.map((n) => (n * hop) / sampleRate),
  };
}

/** Mean frequency of each group of bins, Hz. */
function rowFrequencies(bins: number, group: number, spacing: number): Float64Array {
  return Float64Array.from({ length: Math.ceil(bins / group) }, (_, row) => {
    const first = row * group;
    const last = Math.min(bins, first + group) - 1;
    return ((first + last) / 2) * spacing;
  });
}

interface Rows {
  readonly bins: number;
  readonly group: number;
  readonly rows: number;
}

function levels(sum: Float64Array, count: Float64Array, { bins, group, rows }: Rows): Float32Array {
  const level = new Float32Array(count.length * rows);
  for (let column = 0; column < count.length; column++) {
    for (let row = 0; row < rows; row++) {
      const first = row * group;
      const last = Math.min(bins, first + group);
      let total = 0;
      for (let k = first; k < last; k++) total += sum[column * bins + k]!;
      level[column * rows + row] =
        count[column] === 0 ? Number.NaN : powerDb(total / ((last - first) * count[column]!));
    }
  }
  return level;
}
