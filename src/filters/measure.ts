import type { ModesEstimate } from "../modes/mode.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { Timeline } from "../timeline/timeline.js";
import { AXES, type Axis, type Hertz } from "../units.js";
import type { DelayFit } from "./delay-fit.js";
import type { IdentifiedPath } from "./identify.js";
import { rowOf } from "./measured-row.js";
import { derivativeSign, pathDelay } from "./path-delay.js";
import { doubtS, fitWith, type LikePath, likePath, type PathSums } from "./path-likeness.js";
import type { MeasuredPath } from "./study.js";
import { secondsPerLevel, studyFrames } from "./study-frames.js";
import type { ThrottleLevel } from "./throttle-levels.js";
import { pooled, type TransferSums, transferSums } from "./transfer.js";

export interface MeasureInput {
  readonly timeline: Timeline;
  readonly rotor: RotorEstimate;
  readonly modes: ModesEstimate;
  readonly levels: readonly ThrottleLevel[];
  readonly loopRate: Hertz;
  readonly crossoverHz: Hertz;
}

/** One path of one axis, measured. */
export interface AxisPath {
  readonly path: "gyro" | "dterm";
  readonly axis: Axis;
  readonly rows: readonly MeasuredPath[];
  /** All levels together. */
  readonly sums: TransferSums;
  readonly fit: DelayFit | null;
  readonly like: IdentifiedPath | null;
  /** How far that likeness is to be doubted, s; null when the phase alone contradicts it. */
  readonly doubtS: number | null;
}

/** Length of a frame for transfer functions: 1 Hz apart. */
const FRAME_S = 1;
const MOST_FRAMES = 160;
const ROUGH_FRAMES = 24;
/** Longest delay looked for, s. */
const LONGEST_S = 0.04;
/** An interval wider than this, and than this share of the delay, to either side says that folding spoils the band. */
const WIDEST_S = 0.6e-3;
const WIDEST_SHARE = 0.25;

const PATHS = ["gyro", "dterm"] as const;
type PathName = (typeof PATHS)[number];

/** Measures raw → filtered and raw → D-term on every axis that has both ends. */
export function measurePaths(input: MeasureInput): AxisPath[] {
  const { timeline, levels } = input;
  const after = Math.ceil(LONGEST_S * timeline.sampleRate);
  const frames = studyFrames(timeline, levels, { seconds: FRAME_S, most: MOST_FRAMES, after });
  const shifts = bulkDelays(input, after);
  const all = AXES.flatMap((axis): PathSums[] => {
    const raw = timeline.gyroRaw[axis];
    const ends = PATHS.flatMap((path) => endOf(timeline, path, axis));
    if (raw === null || ends.length === 0) return [];
    const outputs = ends.map(({ path, y }) => ({ y, shift: shifts[path] }));
    const sums = transferSums(raw, outputs, { frames, levels: levels.length });
    return ends.map(({ path }, o) => ({ path, axis, perLevel: sums[o]! }));
  });
  return measureSums(all, {
    ...input,
    logRate: timeline.sampleRate,
    seconds: secondsPerLevel(frames, levels.length),
  });
}

export interface SumsInput {
  readonly logRate: Hertz;
  readonly loopRate: Hertz;
  readonly crossoverHz: Hertz;
  readonly levels: readonly ThrottleLevel[];
  /** Of flight in each level. */
  readonly seconds: readonly number[];
}

/** The same from the spectra, gyro before D-term within each axis. */
export function measureSums(all: readonly PathSums[], input: SumsInput): AxisPath[] {
  const likes: LikePath[] = [];
  for (const sums of all) {
    const before = likes.find((like) => like.axis === sums.axis && like.path === "gyro") ?? null;
    likes.push(likePath(sums, before, input));
  }
  const doubts = {
    gyro: doubtS(likes.filter(({ path }) => path === "gyro")),
    dterm: doubtS(likes.filter(({ path }) => path === "dterm")),
  };
  return likes.map((like): AxisPath => {
    const { path, axis, sums, perLevel } = like;
    const fitOf = (part: TransferSums, alike: IdentifiedPath | null): DelayFit | null => {
      const fit = fitWith(like, { part, alike, doubtS: doubts[path] });
      return fit !== null && usable(fit) ? fit : null;
    };
    const rows = perLevel.map((part, l) => {
      const place = { path, axis, level: input.levels[l]!, seconds: input.seconds[l]! };
      return rowOf(fitOf(part, like.rowLikes[l]!), part, { ...place, crossoverHz: input.crossoverHz });
    });
    return {
      path,
      axis,
      rows,
      sums,
      fit: fitOf(sums, like.like),
      like: like.like,
      doubtS: doubts[path],
    };
  });
}

function endOf(timeline: Timeline, path: PathName, axis: Axis): { path: PathName; y: Float32Array }[] {
  const y = path === "gyro" ? timeline.gyroFiltered[axis] : timeline.dterm[axis];
  return y === null ? [] : [{ path, y }];
}

function usable({ delayS, ci95S }: DelayFit): boolean {
  return ci95S[1] - delayS <= Math.max(WIDEST_S, WIDEST_SHARE * delayS);
}

/** Whole samples of delay of each path, from a few frames of one axis: most of what is to be measured. */
function bulkDelays(input: MeasureInput, after: number): Readonly<Record<PathName, number>> {
  const { timeline, levels } = input;
  const frames = studyFrames(timeline, levels, { seconds: FRAME_S, most: ROUGH_FRAMES, after });
  const shiftOf = (path: PathName): number => {
    const axis = AXES.find((a) => timeline.gyroRaw[a] !== null && endOf(timeline, path, a).length > 0);
    if (axis === undefined) return 0;
    const outputs = endOf(timeline, path, axis).map(({ y }) => ({ y, shift: 0 }));
    const sums = transferSums(timeline.gyroRaw[axis]!, outputs, { frames, levels: levels.length });
    const rough = pooled(sums[0]!);
    if (rough.frames === 0) return 0;
    const derivative = path === "dterm";
    const sign = derivative ? (derivativeSign(rough) ?? 1) : 1;
    const fit = pathDelay(rough, { derivative, sign, turned: null, doubt: 0 });
    const samples = Math.round((fit?.delayS ?? 0) * timeline.sampleRate);
    return Math.min(Math.floor(LONGEST_S * timeline.sampleRate), Math.max(0, samples));
  };
  return { gyro: shiftOf("gyro"), dterm: shiftOf("dterm") };
}
