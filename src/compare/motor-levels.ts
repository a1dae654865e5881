import { knownBlocks, spreadOut } from "../rotor/blocks.js";
import { blockPhasors, projections, separate, separator, weightedBlock } from "../rotor/demodulate.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import { hann } from "../spectra/window.js";
import { analysisGyro, presentAxes, type Timeline } from "../timeline/timeline.js";
import type { Seconds } from "../units.js";
import { scaleLogLevels } from "./class-levels.js";
import { allClasses, classify, MOTOR_CLASSES } from "./classes.js";
import type { MotorLevels } from "./fingerprint.js";

/** Blocks looked at, evenly spread over a long flight. */
const MOST_BLOCKS = 240;
/** Motors half a hertz apart separate over a block of this length. */
const BLOCK_S: Seconds = 1;
/** Blocks whose motors cannot be told apart (noise grows by more than this) are left out. */
const MOST_AMPLIFIED = 25;
/** Blocks over which a speed changes by more than this ratio smear the line over too many classes. */
const MOST_CHANGE = 1.25;

/**
 * Once-per-turn mean square of every motor in narrow classes of its own speed: joint least squares of all motors'
 * lines in blocks of one second, so that motors a few Hz apart do not count each other's vibration.
 *
 * @returns empty when the speed is not known motor by motor
 */
export function motorLevels(timeline: Timeline, rotor: RotorEstimate): MotorLevels[] {
  const motors = rotor.tracks.flatMap(({ motor }) => (motor === null ? [] : [motor]));
  if (motors.length < 2 || motors.length !== rotor.tracks.length) return [];
  const { sampleRate } = timeline;
  const length = Math.round(BLOCK_S * sampleRate);
  const hop = length >> 1;
  const speeds = rotor.tracks.map((track) => track.hz);
  const starts = spreadOut(knownBlocks(timeline, speeds, { length, hop }), MOST_BLOCKS);
  const squares = motors.map(() => new Float64Array(starts.length).fill(Number.NaN));
  const middles = motors.map(() => new Float64Array(starts.length).fill(Number.NaN));
  const window = hann(length);
  starts.forEach((start, block) => {
    const found = blockSquares(timeline, speeds, { start, length, window });
    motors.forEach((_, m) => {
      if (!steady(speeds[m]!, start, length)) return;
      squares[m]![block] = found?.[m] ?? Number.NaN;
      middles[m]![block] = speeds[m]![start + hop]!;
    });
  });
  return motors.map((motor, m): MotorLevels => {
    const scales = classify(middles[m]!, MOTOR_CLASSES, { secondsPerFrame: hop / sampleRate, least: 1 });
    return { motor, classes: allClasses(scales), ...scaleLogLevels(squares[m]!, middles[m]!, scales) };
  });
}

/** Whether a speed hardly changes over the middle half of a block, which holds most of the window's weight. */
function steady(hz: Float32Array, start: number, length: number): boolean {
  const [from, to] = [hz[start + (length >> 2)]!, hz[start + length - (length >> 2)]!];
  return Math.max(from, to) <= MOST_CHANGE * Math.min(from, to);
}

/** Mean square of every motor's line in one block, summed over the axes; null when the motors do not separate. */
function blockSquares(
  timeline: Timeline,
  speeds: readonly Float32Array[],
  block: { readonly start: number; readonly length: number; readonly window: Float64Array },
): Float64Array | null {
  const { start, window } = block;
  const phasors = blockPhasors(speeds, 1, { ...block, sampleRate: timeline.sampleRate });
  const inverse = separator(phasors, window);
  if (inverse === null) return null;
  const { size } = inverse;
  const amplified = speeds.map((_, m) => inverse.re[m * size + m]!);
  const sum = new Float64Array(size);
  const { series } = analysisGyro(timeline);
  const axes = presentAxes(series).map((axis) => series[axis]!);
  for (const r of projections(weightedBlock(axes, start, window), phasors)) {
    const { re, im } = separate(inverse, r);
    for (let m = 0; m < size; m++) sum[m]! += (re[m]! ** 2 + im[m]! ** 2) / 2;
  }
  return sum.map((square, m) => (amplified[m]! > MOST_AMPLIFIED ? Number.NaN : square));
}
