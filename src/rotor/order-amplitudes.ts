import { hann } from "../spectra/window.js";
import { analysisGyro, presentAxes, type Timeline } from "../timeline/timeline.js";
import { AXES, type Axis, type Hertz, type PerAxis, perAxis } from "../units.js";
import { knownBlocks, spreadOut } from "./blocks.js";
import { blockPhasors, projections, separate, separator } from "./demodulate.js";
import type { ComplexMatrix } from "./hermitian.js";
import type { SpeedTrack } from "./rotor.js";

/** Seconds of a block: long enough to part motors a hertz apart, short enough that a phase report holds through it. */
const BLOCK_S = 1;
const MOST_BLOCKS = 240;
/** How far beside the motors' lines the noise under them is measured, Hz: clear of the skirts of a block's window. */
const BESIDE_HZ = 3.5 / BLOCK_S;

/** Power of one order of every motor in one block. */
export interface OrderBlock {
  /** Log time of the block's middle, s. */
  readonly timeS: number;
  /** Mean speed of every motor, Hz. */
  readonly hz: readonly number[];
  /** Squared amplitude per motor and axis, noise included, (deg/s)². */
  readonly power: readonly PerAxis<number>[];
  /** The same for a line beside, where none is: the noise in `power`. */
  readonly noise: readonly PerAxis<number>[];
  /** How much of each motor's line is its own in this block, 0 (cannot be parted) to 1 (stands alone). */
  readonly own: readonly number[];
}

/**
 * Amplitudes of one order of every motor, block by block, by joint least squares on the motors' integrated phases.
 *
 * Motors whose speeds differ by less than about a hertz within a block cannot be parted there: `own` says so
 * (one over the diagonal of the inverse normal matrix).
 *
 * @param tracks one per motor, mechanical Hz
 * @param order multiple of the speed
 * @param most at most so many blocks, spread over the flight
 */
export function orderBlocks(
  timeline: Timeline,
  tracks: readonly SpeedTrack[],
  order: number,
  most = MOST_BLOCKS,
): OrderBlock[] {
  const { sampleRate, startS } = timeline;
  const length = Math.max(32, Math.round(BLOCK_S * sampleRate));
  const speeds = tracks.map((t) => t.hz);
  const window = hann(length);
  const starts = spreadOut(knownBlocks(timeline, speeds, { length, hop: Math.round(length / 2) }), most);
  const { series } = analysisGyro(timeline);
  const axes = presentAxes(series);
  return starts.flatMap((start) => {
    const block = { start, length, sampleRate };
    const phasors = blockPhasors(speeds, order, block);
    const inverse = separator(phasors, window);
    if (inverse === null) return [];
    const hz = speeds.map((track) => meanOf(track, start, length));
    const beside = besideFactors(hz, order).map((factor) => blockPhasors(speeds, order * factor, block));
    const besideInverse = beside.map((p) => separator(p, window));
    const at = (axis: Axis, p: typeof phasors, inv: ComplexMatrix): number[] => {
      const { re, im } = separate(inv, projections(series[axis]!, start, p, window));
      return Array.from(re, (r, m) => r * r + im[m]! * im[m]!);
    };
    const line = new Map(axes.map((axis) => [axis, at(axis, phasors, inverse)]));
    const noise = new Map(
      axes.map((axis) => {
        const both = beside.flatMap((p, k) => (besideInverse[k] ? [at(axis, p, besideInverse[k])] : []));
        return [
          axis,
          speeds.map((_, m) => both.reduce((sum, b) => sum + b[m]!, 0) / Math.max(1, both.length)),
        ];
      }),
    );
    const per = (map: Map<Axis, number[]>, m: number): PerAxis<number> =>
      perAxis((axis) => map.get(axis)?.[m] ?? 0);
    return [
      {
        timeS: startS + (start + length / 2) / sampleRate,
        hz,
        power: speeds.map((_, m) => per(line, m)),
        noise: speeds.map((_, m) => per(noise, m)),
        own: speeds.map((_, m) => 1 / Math.max(1, inverse.re[m * inverse.size + m]!)),
      },
    ];
  });
}

/** Factors on the speeds that bring all motors' lines below the lowest and above the highest of them. */
function besideFactors(hz: readonly Hertz[], order: number): number[] {
  const [low, high] = [Math.min(...hz), Math.max(...hz)];
  const gap = BESIDE_HZ / order;
  return [Math.max(0.3, (low - gap) / high), (high + gap) / low];
}

function meanOf(x: Float32Array, start: number, length: number): Hertz {
  let sum = 0;
  const stride = Math.max(1, length >> 6);
  let count = 0;
  for (let i = start; i < start + length; i += stride) {
    sum += x[i]!;
    count++;
  }
  return sum / count;
}

/** Sum over the axes. */
export const overAxes = (values: PerAxis<number>): number =>
  AXES.reduce((sum, axis) => sum + values[axis], 0);
