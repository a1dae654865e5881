import { frameMap } from "./frame-map.js";
import type { FrameGrid, HeatMap, ShortTimeSpectrum } from "./spectrum.js";

export interface BinningOptions {
  /** Most columns. Default 100. */
  readonly maxColumns?: number | undefined;
  /** Most rows. Default 500. */
  readonly maxRows?: number | undefined;
  readonly reference?: string | undefined;
}

/** Columns are widened until they hold this many frames on average: fewer would draw chance, not level. */
const FRAMES_PER_COLUMN = 2;

/**
 * Frequency against throttle: the mean PSD of all frames flown at about the same throttle. Lines of what turns climb
 * with throttle, lines of the structure stand.
 *
 * @param frames short-time spectrum of one axis
 * @param throttle 0..1, one value per sample of the series; NaN where unknown
 * @param options most columns and rows
 * @returns columns of 1 % of throttle or wider over the range that was flown; null when the throttle is nowhere known
 */
export function throttleMap(
  frames: ShortTimeSpectrum,
  throttle: Float32Array,
  options: BinningOptions = {},
): HeatMap | null {
  return mapBy(frames, frameMeans(frames, throttle), { narrowest: 0.01, ...options });
}

/**
 * Frequency against rotor frequency, as `throttleMap`: an order is a straight line through the origin.
 *
 * @param frames short-time spectrum of one axis
 * @param rotorHz Hz, one value per sample of the series; NaN where unknown
 * @param options most columns and rows
 * @returns columns as wide as one frequency bin or wider; null when the speed is nowhere known
 */
export function rotorMap(
  frames: ShortTimeSpectrum,
  rotorHz: Float32Array,
  options: BinningOptions = {},
): HeatMap | null {
  const narrowest = frames.sampleRate / frames.segmentLength;
  return mapBy(frames, frameMeans(frames, rotorHz), { narrowest, ...options });
}

/** Mean of a series over each frame of a grid; NaN where a frame holds no number. */
export function frameMeans(grid: FrameGrid, series: Float32Array): Float64Array {
  return Float64Array.from(grid.starts, (start) => {
    let sum = 0;
    let count = 0;
    for (let n = start; n < start + grid.segmentLength; n++) {
      const value = series[n]!;
      if (!Number.isNaN(value)) {
        sum += value;
        count++;
      }
    }
    return sum / count;
  });
}

function mapBy(
  frames: ShortTimeSpectrum,
  position: Float64Array,
  options: BinningOptions & { narrowest: number },
): HeatMap | null {
  const known = position.filter((p) => !Number.isNaN(p));
  if (known.length === 0) return null;
  let low = known[0]!;
  let high = low;
  for (const p of known) {
    if (p < low) low = p;
    if (p > high) high = p;
  }
  const most = Math.max(1, Math.min(options.maxColumns ?? 100, Math.floor(known.length / FRAMES_PER_COLUMN)));
  const width = Math.max(options.narrowest, (high - low) / Math.max(1, most - 1));
  const first = Math.floor(low / width + 0.5) * width;
  const count = Math.round((high - first) / width) + 1;
  const { maxRows, reference } = options;
  return frameMap(frames, position, { columns: { first, width, count }, maxRows, reference });
}
