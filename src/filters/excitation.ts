import type { RotorEstimate } from "../rotor/rotor.js";
import { shortTimeSpectrum } from "../spectra/short-time.js";
import type { FrameGrid } from "../spectra/spectrum.js";
import type { Timeline } from "../timeline/timeline.js";
import { AXES, type Axis, type Hertz } from "../units.js";
import type { FlightState, RotorNotchStep } from "./chain.js";
import { followedFrames } from "./followed.js";
import { type FollowedAxis, followedAxis, logGains } from "./followed-axis.js";
import { type LinedFrame, showsTrue, splitLevel } from "./line-floor.js";
import { frameSpeeds, planLines } from "./line-plan.js";
import type { StudyFrames } from "./study-frames.js";
import type { ThrottleLevel } from "./throttle-levels.js";
import { foldedShareOfWhite, whiteFloor } from "./white-floor.js";

/** A turning line in one frame, at its true frequency. */
export interface LineSample {
  readonly state: number;
  readonly track: number;
  readonly order: number;
  readonly hz: Hertz;
  /** Whether the log shows it where it truly is: its power is then in `AxisExcitation.shown` too, spread as it was. */
  readonly shown: boolean;
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
  /** Lines that show where they truly are, per frequency bin of the log as they swept over it, (deg/s)²/Hz. */
  readonly shown: Float64Array;
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
  /** Standard deviation of the flight's power for the parts of it that no frame saw, over the power; worst axis. */
  readonly unseenSd: number;
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
  const { levels, loopRate, fromHz } = options;
  const { grid } = options.frames;
  const setting: AxisSetting = { binWidth: grid.sampleRate / grid.segmentLength, loopRate, grid, fromHz };
  const frames = levelFrames(rotor, options);
  const raw = AXES.filter((axis) => moves(timeline.gyroRaw[axis]));
  const parts = levels.map((): Partial<Record<Axis, AxisExcitation>> => ({}));
  const flown = timeline.airborne.reduce((sum, span) => sum + span.to - span.from, 0);
  const unseen = Math.max(0, 1 - (grid.starts.length * Math.min(grid.hop, grid.segmentLength)) / flown);
  let unseenSd = 0;
  for (const axis of raw) {
    const { power } = shortTimeSpectrum(timeline.gyroRaw[axis]!, grid);
    const lined = levels.map((_, l) => frames.lined(power, l));
    unseenSd = Math.max(unseenSd, Math.sqrt(unseen * sampledVariance(lined, fromHz / setting.binWidth)));
    parts.forEach((axes, l) => {
      if (frames.states[l]!.length > 0) axes[axis] = axisExcitation(lined[l]!, setting);
    });
  }
  const follow = (step: RotorNotchStep): Partial<Record<Axis, FollowedAxis>>[] => {
    const after = levels.map((): Partial<Record<Axis, FollowedAxis>> => ({}));
    const gains = frames.states.map((of) => logGains(step, of, setting));
    const series = raw.map((axis) => timeline.gyroRaw[axis]!);
    for (const [a, ran] of followedFrames(series, grid, { rotor, step }).entries()) {
      const axis = raw[a]!;
      const { power } = shortTimeSpectrum(ran.samples, ran.grid);
      after.forEach((axes, l) => {
        const before = parts[l]![axis];
        if (before !== undefined)
          axes[axis] = followedAxis(frames.lined(power, l), { step, before, gains: gains[l]!, setting });
      });
    }
    return after;
  };
  const common = rotor.tracks[0]?.motor === null;
  return {
    logRate: grid.sampleRate,
    loopRate,
    binWidth: setting.binWidth,
    unseenSd,
    common,
    levels: levels.map((level, l) => ({
      level,
      share: frames.states[l]!.length / Math.max(1, grid.starts.length),
      states: frames.states[l]!,
      axes: parts[l]!,
    })),
    follow: (step) => (rotor.tracks.length === 0 || common ? null : follow(step)),
  };
}

/** Whether an axis is logged and not dead: a column that never changes holds no vibration to predict from. */
export function moves(series: Float32Array | null): boolean {
  return series?.some((v) => Number.isFinite(v) && v !== series[0]) ?? false;
}

/** Relative variance of the mean power of frames drawn from the levels of a flight, bins from `lowest` up. */
function sampledVariance(levels: readonly (readonly LinedFrame[])[], lowest: number): number {
  let [total, variance, count] = [0, 0, 0];
  for (const frames of levels) {
    const powers = frames.map(({ power }) =>
      power.subarray(Math.ceil(lowest)).reduce((sum, v) => sum + v, 0),
    );
    const mean = powers.reduce((sum, v) => sum + v, 0) / Math.max(1, powers.length);
    total += mean * powers.length;
    // of the sum over the level's frames
    variance += powers.reduce((sum, v) => sum + (v - mean) ** 2, 0);
    count += powers.length;
  }
  return count === 0 || total === 0 ? 0 : variance / total ** 2;
}

/** The frames of every level: where their lines lie, and how the rotors turned. */
interface LevelFrames {
  readonly states: readonly (readonly FlightState[])[];
  /** Spectra of a level's frames, from those of all. */
  lined(power: Float32Array, level: number): LinedFrame[];
}

function levelFrames(
  rotor: RotorEstimate,
  { frames, levels, motors, fromHz }: ExcitationOptions,
): LevelFrames {
  const { grid } = frames;
  const clusters = Array.from(grid.starts, (start) => planLines(rotor, grid, { start, fromHz }));
  const members = levels.map((_, l) => [...frames.level.keys()].filter((f) => frames.level[f] === l));
  const stateOf = (f: number): FlightState => {
    const speeds = frameSpeeds(rotor, grid.starts[f]!, grid.segmentLength);
    const throttle = frames.throttle[f]!;
    return {
      throttle: Number.isNaN(throttle) ? null : throttle,
      rotorHz: rotor.tracks[0]?.motor === null ? new Array<Hertz>(motors).fill(speeds[0]!) : speeds,
    };
  };
  return {
    states: members.map((of) => of.map(stateOf)),
    lined: (power, level) =>
      members[level]!.map((f) => ({
        power: power.subarray(f * grid.bins, (f + 1) * grid.bins),
        clusters: clusters[f]!,
      })),
  };
}

/** What the split of an axis needs to know beside its frames. */
export interface AxisSetting {
  readonly binWidth: Hertz;
  readonly loopRate: Hertz;
  readonly grid: FrameGrid;
  readonly fromHz: Hertz;
}

function axisExcitation(frames: readonly LinedFrame[], setting: AxisSetting): AxisExcitation {
  const { binWidth, loopRate, grid, fromHz } = setting;
  const logRate = grid.sampleRate;
  const { floor, excess, shown } = splitLevel(frames, Math.ceil(fromHz / binWidth), logRate / 2);
  const white = whiteFloor(floor, equalFrames(frames));
  const folded = white * foldedShareOfWhite(logRate, loopRate);
  const lines: LineSample[] = [];
  frames.forEach(({ clusters }, state) => {
    clusters.forEach((cluster, c) => {
      const weights = cluster.lines.reduce((total, line) => total + line.weight, 0);
      const shows = showsTrue(cluster, logRate / 2);
      for (const { track, order, hz, weight } of cluster.lines) {
        const share = (binWidth * weight) / (weights * frames.length);
        lines.push({ state, track, order, hz, shown: shows, power: excess[state]![c]! * share });
      }
    });
  });
  return {
    // never below the true share of a white floor: a bin under the floor's own level is chance
    floor: floor.map((v) => Math.max(v - folded, (v * logRate) / Math.max(loopRate, logRate))),
    folded,
    whiteAbove: white - folded,
    lines,
    shown,
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
