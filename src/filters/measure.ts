import type { ModesEstimate } from "../modes/mode.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { Timeline } from "../timeline/timeline.js";
import { AXES, type Axis, type Hertz, type Interval } from "../units.js";
import type { DelayFit } from "./delay-fit.js";
import { foldedTurn } from "./folded-response.js";
import { type IdentifiedPath, identifyPath } from "./identify.js";
import { derivativeSign, medianCoherence, type PathKind, pathDelay } from "./path-delay.js";
import type { MeasuredPath } from "./study.js";
import { type StudyFrames, secondsPerLevel, studyFrames } from "./study-frames.js";
import type { ThrottleLevel } from "./throttle-levels.js";
import { pooled, type TransferSums, transferSums } from "./transfer.js";
import { foldedShareOfWhite, whiteFloor } from "./white-floor.js";

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
}

/** Length of a frame for transfer functions: 1 Hz apart. */
const FRAME_S = 1;
const MOST_FRAMES = 160;
const ROUGH_FRAMES = 24;
/** Misfit up to which a plain filter may stand for the path. */
export const CLOSE_MISFIT = 0.3;
/** Longest delay looked for, s. */
const LONGEST_S = 0.04;

/** Share of the correction for folded noise that is doubted when a plain filter explains the path; all of it else. */
const TRUSTED_DOUBT = 0.5;
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
  return AXES.flatMap((axis) => {
    const raw = timeline.gyroRaw[axis];
    const ends = PATHS.flatMap((path) => endOf(timeline, path, axis));
    if (raw === null || ends.length === 0) return [];
    const outputs = ends.map(({ path, y }) => ({ y, shift: shifts[path] }));
    const sums = transferSums(raw, outputs, { frames, levels: levels.length });
    const out: AxisPath[] = [];
    ends.forEach(({ path }, o) => {
      const before = path === "dterm" ? (out[0]?.like ?? null) : null;
      out.push(measurePath(input, { axis, path, perLevel: sums[o]!, frames, before }));
    });
    return out;
  });
}

function endOf(timeline: Timeline, path: PathName, axis: Axis): { path: PathName; y: Float32Array }[] {
  const y = path === "gyro" ? timeline.gyroFiltered[axis] : timeline.dterm[axis];
  return y === null ? [] : [{ path, y }];
}

interface MeasuredEnds {
  readonly axis: Axis;
  readonly path: PathName;
  readonly perLevel: readonly TransferSums[];
  readonly frames: StudyFrames;
  /** What was found on the way to the filtered gyro. */
  readonly before: IdentifiedPath | null;
}

function measurePath(input: MeasureInput, ends: MeasuredEnds): AxisPath {
  const { timeline, levels, loopRate } = input;
  const { path, axis, perLevel } = ends;
  const derivative = path === "dterm";
  const sums = pooled(perLevel);
  const folds = foldedShareOfWhite(timeline.sampleRate, loopRate);
  const foldedIn = (part: TransferSums): number => folds * whiteFloor(part.xx, part.frames);
  const like =
    sums.frames === 0
      ? null
      : identifyPath(sums, {
          loopRate,
          logRate: timeline.sampleRate,
          folded: foldedIn(sums),
          derivative,
          before: ends.before !== null && ends.before.misfit < CLOSE_MISFIT ? ends.before.path.sections : [],
        });
  const sign = derivative && sums.frames > 0 ? (derivativeSign(sums) ?? 1) : 1;
  const doubt = like !== null && like.misfit < CLOSE_MISFIT ? TRUSTED_DOUBT : 1;
  const fitOf = (part: TransferSums): DelayFit | null => {
    if (part.frames === 0) return null;
    const turned = turnedBy(like, { rate: timeline.sampleRate, folded: foldedIn(part) });
    const fit = pathDelay(part, { derivative, sign, turned, doubt });
    return fit !== null && usable(fit) ? fit : null;
  };
  const seconds = secondsPerLevel(ends.frames, levels.length);
  const rows = perLevel.map((part, l) =>
    rowOf(fitOf(part), part, {
      crossoverHz: input.crossoverHz,
      path,
      axis,
      level: levels[l]!,
      seconds: seconds[l]!,
    }),
  );
  return { path, axis, rows, sums, fit: fitOf(sums), like };
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

function turnedBy(
  like: IdentifiedPath | null,
  log: { readonly rate: Hertz; readonly folded: number },
): PathKind["turned"] {
  if (like === null) return null;
  return (hz, input) => foldedTurn(like.path, hz, { ...log, input });
}

interface RowPlace {
  readonly crossoverHz: Hertz;
  readonly path: PathName;
  readonly axis: Axis;
  readonly level: ThrottleLevel;
  readonly seconds: number;
}

function rowOf(fit: DelayFit | null, sums: TransferSums, place: RowPlace): MeasuredPath {
  const { crossoverHz, path, axis, level, seconds } = place;
  const seen = sums.frames === 0 ? null : medianCoherence(sums, 4, Math.max(10, crossoverHz));
  const lag = fit?.phaseLagDeg(crossoverHz) ?? null;
  return {
    path,
    axis,
    throttle: level.throttle,
    fromThrottle: level.from,
    toThrottle: level.to,
    seconds,
    delayMs: fit === null ? null : 1000 * fit.delayS,
    ci95Ms: fit === null ? null : inMs(fit.ci95S),
    phaseDeg: lag?.value ?? null,
    phaseCi95Deg: lag?.ci95 ?? null,
    coherence: seen === null || Number.isNaN(seen) ? null : seen,
    why: fit === null ? whyNot(sums, seen) : null,
  };
}

function whyNot(sums: TransferSums, coherence: number | null): string {
  if (sums.frames < 4) return "too little unbroken flight at this throttle";
  const share = coherence === null || Number.isNaN(coherence) ? 0 : coherence;
  if (share > 0.7)
    return "the interval would be too wide to be of use: a longer flight or a faster log mends that";
  return `only ${Math.round(100 * share)} % of the output follows the input there: noise folded down by the slow log, or another source, hides it`;
}

/** An interval in seconds as milliseconds. */
export function inMs([low, high]: Interval): Interval {
  return [1000 * low, 1000 * high];
}
