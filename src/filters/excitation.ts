import type { RotorEstimate } from "../rotor/rotor.js";
import { shortTimeSpectrum } from "../spectra/short-time.js";
import type { FrameGrid } from "../spectra/spectrum.js";
import type { Timeline } from "../timeline/timeline.js";
import { AXES, type Axis, type Hertz } from "../units.js";
import { type FlightState, type RotorNotchStep, sectionsOf } from "./chain.js";
import { followedFrames, followedGain, logNotch } from "./followed.js";
import { type LinedFrame, splitLevel } from "./line-floor.js";
import { frameSpeeds, type PlannedLine, planLines } from "./line-plan.js";
import { frequencyAxis, powerGain } from "./power-gain.js";
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
  /** Density of white noise that folded down and was taken off, (deg/s)²/Hz. */
  readonly folded: number;
  /** Density of white noise between the log's Nyquist and the loop's, (deg/s)²/Hz. */
  readonly whiteAbove: number;
  readonly lines: readonly LineSample[];
}

/** One axis at one level after notches that follow the rotors ran over it. */
export interface FollowedAxis {
  /** Floor below the log's Nyquist after the notches, (deg/s)²/Hz. */
  readonly floor: Float64Array;
  /** What is left of every line of `AxisExcitation.lines`, (deg/s)²; NaN for those that only meet other lines' notches. */
  readonly left: Float64Array;
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
  /** Whether only a common rotor speed is known. */
  readonly common: boolean;
  /**
   * Runs notches on rotor speed over the log itself, per level; null where only a common speed is known, since a
   * controller's notches follow each motor.
   */
  follow(step: RotorNotchStep): readonly Readonly<Partial<Record<Axis, FollowedAxis>>>[] | null;
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
  const clusters = Array.from(grid.starts, (start) => planLines(rotor, grid, { start, fromHz }));
  const raw = AXES.filter((axis) => timeline.gyroRaw[axis] !== null);
  const common = rotor.tracks[0]?.motor === null;
  const stateOf = (f: number): FlightState => {
    const speeds = frameSpeeds(rotor, grid.starts[f]!, grid.segmentLength);
    const throttle = frames.throttle[f]!;
    return {
      throttle: Number.isNaN(throttle) ? null : throttle,
      rotorHz: common ? new Array<Hertz>(motors).fill(speeds[0]!) : speeds,
    };
  };
  const members = levels.map((_, l) => [...frames.level.keys()].filter((f) => frames.level[f] === l));
  /** The frames of a level, from the spectra of all. */
  const lined = (power: Float32Array, l: number): LinedFrame[] =>
    members[l]!.map((f) => ({
      power: power.subarray(f * grid.bins, (f + 1) * grid.bins),
      clusters: clusters[f]!,
    }));
  const setting: AxisSetting = { binWidth, loopRate, grid, fromHz };
  const parts = levels.map((): Partial<Record<Axis, AxisExcitation>> => ({}));
  for (const axis of raw) {
    const { power } = shortTimeSpectrum(timeline.gyroRaw[axis]!, grid);
    parts.forEach((axes, l) => {
      if (members[l]!.length > 0) axes[axis] = axisExcitation(lined(power, l), setting);
    });
  }
  const states = members.map((of) => of.map(stateOf));
  const follow = (step: RotorNotchStep): Partial<Record<Axis, FollowedAxis>>[] => {
    const after = levels.map((): Partial<Record<Axis, FollowedAxis>> => ({}));
    const gains = states.map((of) => logGains(step, of, setting));
    const series = raw.map((axis) => timeline.gyroRaw[axis]!);
    for (const [a, ran] of followedFrames(series, grid, { rotor, step }).entries()) {
      const axis = raw[a]!;
      const { power } = shortTimeSpectrum(ran.samples, ran.grid);
      after.forEach((axes, l) => {
        const before = parts[l]![axis];
        if (before !== undefined)
          axes[axis] = followedAxis(lined(power, l), { step, before, gains: gains[l]!, setting });
      });
    }
    return after;
  };
  return {
    logRate: grid.sampleRate,
    loopRate,
    binWidth,
    common,
    levels: levels.map((level, l) => ({
      level,
      share: members[l]!.length / Math.max(1, grid.starts.length),
      states: states[l]!,
      axes: parts[l]!,
    })),
    follow: (step) => (rotor.tracks.length === 0 || common ? null : follow(step)),
  };
}

/** Mean power gain per bin of notches as they ran over the log, and as they would truly act at those frequencies. */
interface LogGains {
  readonly ran: Float64Array;
  readonly true: Float64Array;
}

const STATES = 12;

function logGains(
  step: RotorNotchStep,
  states: readonly FlightState[],
  { grid, loopRate }: AxisSetting,
): LogGains {
  const every = Math.max(1, states.length / STATES);
  const picked = Array.from(
    { length: Math.min(STATES, states.length) },
    (_, i) => states[Math.floor(i * every)]!.rotorHz,
  );
  const ran = followedGain(step, picked, grid);
  const folds = picked.some((speeds) =>
    step.orders.some((order) =>
      speeds.some((hz) => logNotch(step, order * hz, grid.sampleRate)?.folded !== false),
    ),
  );
  if (!folds) return { ran, true: ran };
  const axis = frequencyAxis(
    Float64Array.from({ length: grid.bins }, (_, k) => (k * grid.sampleRate) / grid.segmentLength),
    loopRate,
  );
  const mean = new Float64Array(grid.bins);
  for (const rotorHz of picked) {
    const gain = powerGain(sectionsOf([step], { throttle: null, rotorHz }, loopRate), axis);
    for (let k = 0; k < mean.length; k++) mean[k] = mean[k]! + gain[k]! / picked.length;
  }
  return { ran, true: mean };
}

/** Share of the true gain below which what ran over the log has taken too much of a bin to be led back from. */
const TOO_DEEP = 0.25;

/** Gain above which notches barely touch a bin: the floor without them is then as good. */
const BARELY = 0.85;

function followedAxis(
  frames: readonly LinedFrame[],
  at: {
    readonly step: RotorNotchStep;
    readonly before: AxisExcitation;
    readonly gains: LogGains;
    readonly setting: AxisSetting;
  },
): FollowedAxis {
  const { step, before, gains, setting } = at;
  const { binWidth, loopRate, grid, fromHz } = setting;
  const { floor, excess } = splitLevel(frames, Math.ceil(fromHz / binWidth));
  const left: number[] = [];
  frames.forEach(({ clusters }, state) => {
    clusters.forEach((cluster, c) => {
      const weights = cluster.lines.reduce((total, line) => total + line.weight, 0);
      const own = cluster.lines.every((line) => isFollowed(step, line, grid.sampleRate));
      for (const { weight } of cluster.lines) {
        const share = (binWidth * weight) / (weights * frames.length);
        left.push(own ? excess[state]![c]! * share : Number.NaN);
      }
    });
  });
  const least = grid.sampleRate / Math.max(loopRate, grid.sampleRate);
  return {
    floor: floor.map((v, k) => {
      const [ran, wanted] = [gains.ran[k]!, gains.true[k]!];
      if (wanted > BARELY || ran < TOO_DEEP * wanted) return before.floor[k]! * wanted;
      return (Math.max(v - before.folded * ran, v * least) * wanted) / Math.max(ran, 1e-9);
    }),
    left: Float64Array.from(left),
  };
}

function isFollowed(step: RotorNotchStep, { order, hz }: PlannedLine, logRate: Hertz): boolean {
  return step.orders.includes(order) && hz > step.lowestHz && logNotch(step, hz, logRate) !== null;
}

interface AxisSetting {
  readonly binWidth: Hertz;
  readonly loopRate: Hertz;
  readonly grid: FrameGrid;
  readonly fromHz: Hertz;
}

function axisExcitation(frames: readonly LinedFrame[], setting: AxisSetting): AxisExcitation {
  const { binWidth, loopRate, grid, fromHz } = setting;
  const logRate = grid.sampleRate;
  const { floor, excess } = splitLevel(frames, Math.ceil(fromHz / binWidth));
  const white = whiteFloor(floor, equalFrames(frames));
  const folded = white * foldedShareOfWhite(logRate, loopRate);
  const lines: LineSample[] = [];
  frames.forEach(({ clusters }, state) => {
    clusters.forEach((cluster, c) => {
      const weights = cluster.lines.reduce((total, line) => total + line.weight, 0);
      for (const { track, order, hz, weight } of cluster.lines) {
        const share = (binWidth * weight) / (weights * frames.length);
        lines.push({ state, track, order, hz, power: excess[state]![c]! * share });
      }
    });
  });
  return {
    // never below the true share of a white floor: a bin under the floor's own level is chance
    floor: floor.map((v) => Math.max(v - folded, (v * logRate) / Math.max(loopRate, logRate))),
    folded,
    whiteAbove: white - folded,
    lines,
  };
}

/** Equal frames that would average as well as these, whose power in the upper half of the band differs: (Σ u)² / Σ u². */
function equalFrames(frames: readonly LinedFrame[]): number {
  let [sum, squares] = [0, 0];
  for (const { power, clusters } of frames) {
    let upper = 0;
    for (let k = power.length >> 1; k < power.length; k++) upper += power[k]!;
    for (const { from, to } of clusters) {
      for (let k = Math.max(from, power.length >> 1); k <= to; k++) upper -= power[k]!;
    }
    sum += upper;
    squares += upper * upper;
  }
  return squares > 0 ? (sum * sum) / squares : 1;
}
