import type { Truth } from "../../simulator/truth.js";
import type { ModesEstimate } from "../../src/modes/mode.js";
import { fold } from "../../src/rotor/fold.js";
import type { Timeline } from "../../src/timeline/timeline.js";
import { AXES, type Interval } from "../../src/units.js";
import { matchReach } from "../modes/score.js";

/** How far beside a folded line's path a report is still put down to it, Hz. */
const BESIDE_HZ = 3;
/** A line fainter than this in all axes, dB in 6 Hz, shows nowhere. */
const FAINTEST_DB = 0;

/** Where a line of one motor shows while it lies above Nyquist. */
export interface FoldedLine {
  readonly order: number;
  /** Lowest and highest shown frequency, Hz. */
  readonly shownHz: Interval;
}

/** What was reported as fixed where lines fold and no mode is. */
export interface FoldedCount {
  readonly structures: readonly number[];
  readonly unresolved: readonly number[];
}

/** The lines of a flight that the log folds, motor by motor. */
export function foldedLines(truth: Truth, timeline: Timeline): FoldedLine[] {
  const orders = truth.rotor.orders.filter(
    (o) => o.foldedShare > 0 && AXES.some((axis) => o.levelDb[axis] > FAINTEST_DB),
  );
  return orders.flatMap(({ order }) =>
    truth.rotor.tracks.flatMap((hz) => {
      const shownHz = shownRange(hz, order, timeline);
      return shownHz ? [{ order, shownHz }] : [];
    }),
  );
}

function shownRange(hz: Float32Array, order: number, { airborne, sampleRate }: Timeline): Interval | null {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const { from, to } of airborne) {
    for (let i = from; i < to; i++) {
      if (order * hz[i]! <= sampleRate / 2) continue;
      const shown = fold(order * hz[i]!, sampleRate);
      low = Math.min(low, shown);
      high = Math.max(high, shown);
    }
  }
  return low <= high ? [low, high] : null;
}

/** Counts the reports that lie in the path of a folded line and are no mode. */
export function foldedReports(
  { modes }: Pick<ModesEstimate, "modes">,
  lines: readonly FoldedLine[],
  truth: Truth,
): FoldedCount {
  const suspects = modes.filter(
    ({ frequencyHz }) =>
      lines.some(({ shownHz: [a, b] }) => frequencyHz > a - BESIDE_HZ && frequencyHz < b + BESIDE_HZ) &&
      truth.modes.every((m) => Math.abs(m.frequencyHz - frequencyHz) >= matchReach(m)),
  );
  const of = (kind: string): number[] => suspects.filter((m) => m.kind === kind).map((m) => m.frequencyHz);
  return { structures: of("structure"), unresolved: of("unresolved") };
}
