import { frameTimes } from "./frame-grid.js";
import { frameMap } from "./frame-map.js";
import type { HeatMap, ShortTimeSpectrum } from "./spectrum.js";
import type { BinningOptions } from "./throttle-map.js";

export interface TimeMapOptions extends BinningOptions {
  /** Log time of sample 0, s. Default 0. */
  readonly startS?: number | undefined;
}

/**
 * Frequency against time: the PSD of the frames, neighbours averaged until no more than `maxColumns` (default 400)
 * are left. Columns over gaps hold NaN.
 *
 * @param frames short-time spectrum of one axis
 * @param options most columns and rows, time of sample 0
 * @returns null when there is no frame
 */
export function timeMap(frames: ShortTimeSpectrum, options: TimeMapOptions = {}): HeatMap | null {
  const { maxColumns = 400, maxRows, startS = 0, reference } = options;
  const times = frameTimes(frames).map((t) => t + startS);
  if (times.length === 0) return null;
  const first = times[0]!;
  const duration = times[times.length - 1]! - first;
  const width = Math.max(frames.hop / frames.sampleRate, duration / Math.max(1, maxColumns - 1));
  const count = Math.round(duration / width) + 1;
  return frameMap(frames, times, { columns: { first, width, count }, maxRows, reference });
}
