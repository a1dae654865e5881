import type { RotorEstimate } from "../rotor/rotor.js";
import { segmentTransform } from "../spectra/segment-transform.js";
import type { Timeline } from "../timeline/timeline.js";
import { AXES, type Axis, type Hertz } from "../units.js";
import type { FlightState } from "./chain.js";
import { frameSpeeds, planLines, takeOutLines } from "./line-plan.js";
import type { StudyFrames } from "./study-frames.js";
import type { ThrottleLevel } from "./throttle-levels.js";
import { foldedShareOfWhite, whiteFloor } from "./white-floor.js";

/** A turning line in one frame, at its true frequency. */
export interface LineSample {
  readonly state: number;
  readonly track: number;
  readonly order: number;
  readonly hz: Hertz;
  /** Mean square that it adds to its level, (deg/s)². */
  readonly power: number;
}

/** What one axis of the raw gyro holds at one throttle level, at true frequencies. */
export interface AxisExcitation {
  /** Floor (all that does not turn) per frequency bin of the log, (deg/s)²/Hz, folded noise taken off. */
  readonly floor: Float64Array;
  /** Density of white noise between the log's Nyquist and the loop's, (deg/s)²/Hz. */
  readonly whiteAbove: number;
  readonly lines: readonly LineSample[];
}

/** One throttle level. */
export interface LevelExcitation {
  readonly level: ThrottleLevel;
  /** Share of the flight's frames. */
  readonly share: number;
  /** Speeds of every frame's rotors, one state a frame. */
  readonly states: readonly FlightState[];
  readonly axes: Readonly<Partial<Record<Axis, AxisExcitation>>>;
}

export interface Excitation {
  readonly logRate: Hertz;
  readonly loopRate: Hertz;
  readonly binWidth: Hertz;
  readonly levels: readonly LevelExcitation[];
}

export interface ExcitationOptions {
  readonly frames: StudyFrames;
  readonly levels: readonly ThrottleLevel[];
  readonly loopRate: Hertz;
  /** Motors behind a common speed track. */
  readonly motors: number;
  /** Top of commanded motion: below it no line is looked for. */
  readonly fromHz: Hertz;
}

/**
 * Splits the raw gyro, frame by frame, into what turns (lines, put at their true frequency even where the log shows
 * them folded) and what does not, and averages per throttle level.
 *
 * White noise at the level of the floor towards Nyquist is taken to reach up to half the loop rate, and its folded
 * part is put back there.
 *
 * @param timeline with raw gyro on at least one axis
 * @param rotor speeds and orders; without tracks everything counts as floor
 * @param frames short ones: about half a second
 */
export function excitationOf(
  timeline: Timeline,
  rotor: RotorEstimate,
  options: ExcitationOptions,
): Excitation {
  const { frames, levels, loopRate, motors, fromHz } = options;
  const { grid } = frames;
  const binWidth = grid.sampleRate / grid.segmentLength;
  const raw = AXES.filter((axis) => timeline.gyroRaw[axis] !== null);
  const transform = segmentTransform({ segmentLength: grid.segmentLength });
  const scale = 2 / (grid.sampleRate * transform.energy);
  const sums = levels.map(() => emptyLevel(raw, grid.bins));
  const power = new Float64Array(grid.bins);
  const common = rotor.tracks[0]?.motor === null;
  grid.starts.forEach((start, f) => {
    const sum = sums[frames.level[f]!]!;
    const rotorHz = frameSpeeds(rotor, start, grid.segmentLength);
    const throttle = frames.throttle[f]!;
    const state = sum.states.length;
    sum.states.push({
      throttle: Number.isNaN(throttle) ? null : throttle,
      rotorHz: common ? new Array<Hertz>(motors).fill(rotorHz[0]!) : rotorHz,
    });
    const clusters = planLines(rotor, grid, { start, fromHz });
    for (const axis of raw) {
      const x = transform.at(timeline.gyroRaw[axis]!, start);
      for (let k = 0; k < grid.bins; k++) power[k] = scale * (x[2 * k]! ** 2 + x[2 * k + 1]! ** 2);
      const excess = takeOutLines(power, clusters, Math.ceil(fromHz / binWidth));
      const into = sum.axes[axis]!;
      for (let k = 0; k < grid.bins; k++) into.floor[k] = into.floor[k]! + power[k]!;
      clusters.forEach(({ lines }, c) => {
        const weights = lines.reduce((total, line) => total + line.weight, 0);
        for (const { track, order, hz, weight } of lines) {
          into.lines.push({ state, track, order, hz, power: (excess[c]! * binWidth * weight) / weights });
        }
      });
    }
  });
  const total = grid.starts.length;
  return {
    logRate: grid.sampleRate,
    loopRate,
    binWidth,
    levels: sums.map((sum, l) => finished(levels[l]!, sum, { total, logRate: grid.sampleRate, loopRate })),
  };
}

interface LevelSum {
  readonly states: FlightState[];
  readonly axes: Partial<Record<Axis, { floor: Float64Array; lines: LineSample[] }>>;
}

function emptyLevel(axes: readonly Axis[], bins: number): LevelSum {
  return {
    states: [],
    axes: Object.fromEntries(axes.map((axis) => [axis, { floor: new Float64Array(bins), lines: [] }])),
  };
}

function finished(
  level: ThrottleLevel,
  sum: LevelSum,
  { total, logRate, loopRate }: { total: number; logRate: Hertz; loopRate: Hertz },
): LevelExcitation {
  const count = sum.states.length;
  const axes: Partial<Record<Axis, AxisExcitation>> = {};
  for (const axis of AXES) {
    const part = sum.axes[axis];
    if (part === undefined || count === 0) continue;
    const floor = part.floor.map((v) => v / count);
    const white = whiteFloor(floor, count);
    const folded = white * foldedShareOfWhite(logRate, loopRate);
    axes[axis] = {
      // never below the true share of a white floor: a bin under the floor's own level is chance
      floor: floor.map((v) => Math.max(v - folded, (v * logRate) / Math.max(loopRate, logRate))),
      whiteAbove: white - folded,
      lines: part.lines.map((line) => ({ ...line, power: line.power / count })),
    };
  }
  return { level, share: total === 0 ? 0 : count / total, states: sum.states, axes };
}
