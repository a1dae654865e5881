import { AXES, type PerAxis, perAxis } from "../units.js";
import { type Chain, describeChain } from "./chain.js";
import type { Predictor } from "./predictor.js";
import { paretoFront, type Trade, thinnedFront } from "./search.js";
import type { Candidate, CandidateRole, DtermLimit } from "./study.js";

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
