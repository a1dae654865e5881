import { AXES } from "../units.js";
import { LOWEST_BAND_HZ } from "./cells.js";
import type { FlownFrames } from "./flown-frames.js";

/** A frame this much louder than its speed explains, nepers of power (3 dB), is a burst: own wash, a gust. */
const BURST = Math.log(2);
/** A straight line through the rest is settled after so many rounds. */
const ROUNDS = 4;

/**
 * What each frame is matched by, without the frames of bursts: descents through the own wash come in seconds and
 * raise the whole spectrum, and how many there were is how the craft was flown.
 *
 * Each frame's level is the mean of ln power over its free bins about each bin's own mean. It follows ln speed along
 * a straight line; frames that stand out above it are dropped and the line is drawn again. A louder build is louder
 * in all frames, so nothing of it is dropped. Steady frames scatter by less than a tenth of the limit.
 *
 * @param mask frames × bins, 1 = touched by what turns
 * @returns NaN in the frames dropped
 */
export function withoutBursts(flown: FlownFrames, mask: Uint8Array): Float64Array {
  const level = frameLevels(flown, mask);
  let drive = flown.drive;
  for (let round = 0; round < ROUNDS; round++) {
    const line = lineThrough(drive, level);
    drive = flown.drive.map((value, k) => (level[k]! - line(Math.log(value)) > BURST ? Number.NaN : value));
  }
  return drive;
}

/** Mean over axes and free bins of ln power less the bin's mean; NaN in frames that do not count. */
function frameLevels({ gyro, grid, drive }: FlownFrames, mask: Uint8Array): Float64Array {
  const { bins, starts, segmentLength, sampleRate } = grid;
  const first = Math.ceil((LOWEST_BAND_HZ * segmentLength) / sampleRate);
  const sum = new Float64Array(starts.length);
  const count = new Float64Array(starts.length);
  for (const axis of AXES) {
    const power = gyro[axis]?.power;
    if (power === undefined) continue;
    const log = freeLogs(power, mask, { drive, bins });
    const mean = binMeans(log, bins);
    for (let k = 0; k < starts.length; k++) {
      for (let bin = first; bin < bins; bin++) {
        const value = log[k * bins + bin]!;
        if (Number.isNaN(value)) continue;
        sum[k]! += value - mean[bin]!;
        count[k]! += 1;
      }
    }
  }
  return sum.map((s, k) => (count[k]! > 0 ? s / count[k]! : Number.NaN));
}

/** ln power of the cells that count, NaN in the others: touched by what turns, silent, or in a frame left out. */
function freeLogs(
  power: Float32Array,
  mask: Uint8Array,
  { drive, bins }: { readonly drive: Float64Array; readonly bins: number },
): Float64Array {
  const log = new Float64Array(power.length).fill(Number.NaN);
  for (let k = 0; k < drive.length; k++) {
    if (Number.isNaN(drive[k]!)) continue;
    for (let i = k * bins; i < (k + 1) * bins; i++) {
      if (mask[i] === 0 && power[i]! > 0) log[i] = Math.log(power[i]!);
    }
  }
  return log;
}

/** Mean over the frames of each bin, NaN values left out. */
function binMeans(plane: Float64Array, bins: number): Float64Array {
  const sum = new Float64Array(bins);
  const count = new Float64Array(bins);
  for (let row = 0; row < plane.length; row += bins) {
    for (let bin = 0; bin < bins; bin++) {
      const value = plane[row + bin]!;
      if (Number.isNaN(value)) continue;
      sum[bin]! += value;
      count[bin]! += 1;
    }
  }
  return sum.map((s, bin) => s / count[bin]!);
}

/** Least squares of level on ln drive over the frames that are left; level alone where the drive hardly varies. */
function lineThrough(drive: Float64Array, level: Float64Array): (logDrive: number) => number {
  let [n, sx, sy, sxx, sxy] = [0, 0, 0, 0, 0];
  drive.forEach((value, k) => {
    const x = Math.log(value);
    const y = level[k]!;
    if (!Number.isFinite(x) || Number.isNaN(y)) return;
    n++;
    sx += x;
    sy += y;
    sxx += x * x;
    sxy += x * y;
  });
  const spread = sxx - (sx * sx) / n;
  const slope = spread > 1e-4 * n ? (sxy - (sx * sy) / n) / spread : 0;
  return (x) => sy / n + slope * (x - sx / n);
}
