import { AXES, type Interval, type PerAxis, perAxis } from "../units.js";
import { type Chain, describeChain } from "./chain.js";
import type { Predictor } from "./predictor.js";
import { paretoFront, type Trade, thinnedFront } from "./search.js";
import type { Candidate, CandidateRole, DtermLimit, MeasuredPath, OwnChain } from "./study.js";

const CURVE_POINTS = 12;

export interface CandidateParts {
  readonly least: Trade | null;
  readonly limit: DtermLimit | null;
  readonly predictor: Predictor;
  /** The curve ends here. */
  readonly longestMs: number;
  readonly examples: readonly Chain[];
}

/** The chains to show: the one of least delay, examples of the trade, and the curve of the rest. */
export function candidatesOf(trades: readonly Trade[], parts: CandidateParts): Candidate[] {
  const { least, limit, predictor, longestMs, examples } = parts;
  const curve = thinnedFront(paretoFront(trades), CURVE_POINTS, longestMs).map(({ chain }) => chain);
  const listed: readonly (readonly [CandidateRole, readonly Chain[]])[] = [
    ["least delay", least === null ? [] : [least.chain]],
    ["example", examples],
    ["trade-off", curve.filter((chain) => chain !== least?.chain)],
  ];
  return listed.flatMap(([role, chains]) =>
    chains.map((steps): Candidate => {
      const { levels, gyroRms, dtermRms, gyroCi95, dtermCi95, ...cost } = predictor.predict(steps);
      const worst = worstOf(dtermRms);
      return {
        chain: describeChain(steps),
        steps,
        role,
        ...cost,
        gyroRms: worstOf(gyroRms),
        gyroCi95: intervalOfWorst(gyroRms, gyroCi95),
        dtermRms: worst,
        dtermCi95: intervalOfWorst(dtermRms, dtermCi95),
        axes: perAxis((axis) => ({ gyroRms: gyroRms[axis], dtermRms: dtermRms[axis] })),
        meetsLimit: limit === null ? null : holds(limit, worst, intervalOfWorst(dtermRms, dtermCi95)),
        levels: levels.map(({ throttle, delayMs, ...left }) => ({
          throttle,
          delayMs,
          axes: perAxis((axis) => ({ gyroRms: left.gyroRms[axis], dtermRms: left.dtermRms[axis] })),
        })),
      };
    }),
  );
}

function worstOf(rms: PerAxis<number | null>): number {
  return Math.max(0, ...AXES.map((axis) => rms[axis] ?? 0));
}

/** Whether a chain holds the limit; null where its interval spans it. */
function holds({ value, how }: DtermLimit, rms: number, ci95: Interval | null): boolean | null {
  // a flight's own level is held against the prediction itself: both rest on the same frames
  if (ci95 === null || how === "this flight's own level") return rms <= value;
  return ci95[1] <= value ? true : ci95[0] > value ? false : null;
}

function intervalOfWorst(rms: PerAxis<number | null>, ci95: PerAxis<Interval | null>): Interval | null {
  const worst = AXES.reduce((a, b) => ((rms[b] ?? -1) > (rms[a] ?? -1) ? b : a));
  return ci95[worst];
}

/** This flight's own filtering beside the others: as logged, not predicted. Empty when its delay is not known. */
export function ownCandidate(
  own: OwnChain,
  measured: readonly MeasuredPath[],
  limit: DtermLimit | null,
): Candidate[] {
  const rows = measured.filter((row) => row.path === "dterm" && row.delayMs !== null);
  if (own.delayMs === null || rows.length === 0) return [];
  const like = own.behavesLike === null ? "" : ` (like ${own.behavesLike})`;
  const dtermRms = worstOf(own.dtermRms);
  const delays = rows.map((row) => row.delayMs!);
  return [
    {
      chain: `this flight's own${like}`,
      steps: null,
      role: "this flight",
      delayMs: own.delayMs,
      delayRangeMs: [Math.min(...delays), Math.max(...delays)],
      gyroDelayMs: own.gyroDelayMs,
      phaseDeg: meanPhase(measured, "dterm"),
      gyroPhaseDeg: meanPhase(measured, "gyro"),
      gyroRms: worstOf(own.gyroRms),
      gyroCi95: null,
      dtermRms,
      dtermCi95: null,
      axes: perAxis((axis) => ({ gyroRms: own.gyroRms[axis], dtermRms: own.dtermRms[axis] })),
      aboveNyquistShare: null,
      meetsLimit: limit === null ? null : dtermRms <= limit.value,
      levels: [],
    },
  ];
}

function meanPhase(measured: readonly MeasuredPath[], path: "gyro" | "dterm"): number | null {
  const seen = measured.flatMap((row) => (row.path === path && row.phaseDeg !== null ? [row.phaseDeg] : []));
  return seen.length === 0 ? null : seen.reduce((sum, deg) => sum + deg, 0) / seen.length;
}
