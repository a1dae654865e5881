import { AXES, type PerAxis, perAxis } from "../units.js";
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
      const { levels, gyroRms, dtermRms, ...cost } = predictor.predict(steps);
      const worst = worstOf(dtermRms);
      return {
        chain: describeChain(steps),
        steps,
        role,
        ...cost,
        gyroRms: worstOf(gyroRms),
        dtermRms: worst,
        axes: perAxis((axis) => ({ gyroRms: gyroRms[axis], dtermRms: dtermRms[axis] })),
        meetsLimit: limit === null ? null : worst <= limit.value,
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
      dtermRms,
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
