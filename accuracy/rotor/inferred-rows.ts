import { CLEAR_DB, clearestDb, flight, offBy } from "./reading.js";
import { type Row, row } from "./row.js";
import type { Trial } from "./trial.js";

/** Relative error of the median speed that still counts as right. */
export const RIGHT = 0.03;
/** Further off than this the answer is another multiple of the speed. */
const OTHER_ORDER = 0.2;

/** Speed without a report. */
export function inferredRows(trials: readonly Trial[]): Row[] {
  const clear = trials.filter((t) => clearestDb(t.truth.orders) >= CLEAR_DB);
  const answered = trials.filter((t) => t.estimate.source !== "none");
  const offText = (t: Trial): string =>
    t.estimate.medianHz === null
      ? `${flight(t)} (none)`
      : `${flight(t)} (${(100 * offBy(t)).toFixed(0)} % off)`;
  const baselineOff = ({ peaks, trueHz }: Trial): number =>
    peaks.medianHz === null ? Number.POSITIVE_INFINITY : Math.abs(peaks.medianHz / trueHz - 1);
  return [
    row({
      what: "median within 3 % where a line stands 6 dB clear",
      least: 0.97,
      among: clear,
      right: (t) => offBy(t) <= RIGHT,
      nameOf: offText,
    }),
    row({
      what: "once per turn told from blade pass, of those answered",
      least: 0.98,
      among: answered,
      right: (t) => offBy(t) <= OTHER_ORDER,
      nameOf: offText,
    }),
    row({
      what: "not answered wrongly (more than 3 % off), of all",
      least: 0.99,
      among: trials,
      right: (t) => t.estimate.source === "none" || offBy(t) <= RIGHT,
      nameOf: offText,
    }),
    row({
      what: "baseline (peak of the spectrum per throttle bin): median within 3 % where a line stands 6 dB clear",
      least: null,
      among: clear,
      right: (t) => baselineOff(t) <= RIGHT,
      nameOf: flight,
    }),
    row({
      what: "baseline: once per turn told from blade pass",
      least: null,
      among: trials,
      right: (t) => baselineOff(t) <= OTHER_ORDER,
      nameOf: flight,
    }),
  ];
}
