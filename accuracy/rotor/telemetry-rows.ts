import { CLEAR_DB, clearestDb, flight, offBy } from "./reading.js";
import { type Row, row } from "./row.js";
import type { Trial } from "./trial.js";

/** Relative error of the median speed that still counts as right. */
const RIGHT = 0.005;
/** A worst propeller counts as findable when it is nearly twice as bad and the motors' speeds part by a hertz. */
const FINDABLE = { factor: 1.8, separationHz: 1 } as const;
/** Speed varies enough to tell a millisecond: change within 0.4 s, Hz. */
const LIVELY_HZ = 6;

/** Speed, divisor, delay and worst motor where the motors' speed is reported. */
export function telemetryRows(trials: readonly Trial[]): Row[] {
  return [...speedRows(trials), ...delayRows(trials), ...motorRows(trials), ...amplitudeRows(trials)];
}

function speedRows(trials: readonly Trial[]): Row[] {
  const electrical = trials.filter((t) => (t.truth.divisor ?? 1) > 1);
  return [
    row({
      what: "median rotor frequency within 0.5 %",
      least: 1,
      among: trials,
      right: (t) => offBy(t) <= RIGHT,
      nameOf: (t) => `${flight(t)} (${(100 * offBy(t)).toFixed(2)} % off)`,
    }),
    row({
      what: "divisor right",
      least: 1,
      among: trials,
      right: (t) => t.estimate.polePairs === t.truth.divisor,
      nameOf: (t) => `${flight(t)} (${t.estimate.polePairs} for ${t.truth.divisor})`,
    }),
    row({
      what: "… of the electrical ones",
      least: 1,
      among: electrical,
      right: (t) => t.estimate.polePairs === t.truth.divisor,
      nameOf: flight,
    }),
    row({
      what: "baseline (peak of the spectrum per throttle bin): divisor right, electrical ones",
      least: null,
      among: electrical,
      right: (t) => t.peaks.divisor === t.truth.divisor,
      nameOf: flight,
    }),
  ];
}

const delayOff = ({ estimate, truth }: Trial): number => Math.abs(estimate.delayS! - truth.delayS!);

function delayRows(trials: readonly Trial[]): Row[] {
  const told = trials.filter((t) => t.estimate.delayS !== null);
  const lively = trials.filter((t) => t.changeHz >= LIVELY_HZ && onceDb(t) >= CLEAR_DB);
  const nameOf = (t: Trial): string =>
    t.estimate.delayS === null
      ? `${flight(t)} (not told)`
      : `${flight(t)} (${(1e3 * delayOff(t)).toFixed(1)} ms off)`;
  return [
    row({
      what: `delay within 1 ms where speed changes by ${LIVELY_HZ} Hz within 0.4 s (root mean square) and once per turn stands ${CLEAR_DB} dB clear`,
      least: 1,
      among: lively,
      right: (t) => t.estimate.delayS !== null && delayOff(t) <= 1e-3,
      nameOf,
    }),
    row({
      what: "delay inside its 95 % interval, wherever told",
      least: 0.95,
      among: told,
      right: ({ estimate: { delayCi95S: ci }, truth }) =>
        ci !== null && truth.delayS! >= ci[0] && truth.delayS! <= ci[1],
      nameOf,
    }),
  ];
}

/** Level of once per turn on its clearest axis, dB. */
function onceDb({ truth }: Trial): number {
  return clearestDb(truth.orders.filter((o) => o.order === 1));
}

function motorRows(trials: readonly Trial[]): Row[] {
  const bad = trials.filter((t) => t.truth.worstMotor !== null);
  const findable = bad.filter(
    ({ truth }) => truth.worstFactor >= FINDABLE.factor && truth.separationHz >= FINDABLE.separationHz,
  );
  const equal = trials.filter((t) => t.truth.worstMotor === null);
  const nameOf = (t: Trial): string =>
    `${flight(t)} (${t.estimate.worstMotor ?? "none"} for ${t.truth.worstMotor ?? "none"})`;
  return [
    row({
      what: "worst motor named, one propeller twice as bad or worse and speeds a hertz apart",
      least: 1,
      among: findable,
      right: (t) => t.estimate.worstMotor === t.truth.worstMotor,
      nameOf,
    }),
    row({
      what: "no wrong motor named, one propeller bad, speeds apart or not",
      least: 1,
      among: bad,
      right: (t) => t.estimate.worstMotor === null || t.estimate.worstMotor === t.truth.worstMotor,
      nameOf,
    }),
    row({
      what: "none named where all are equal",
      least: 0.98,
      among: equal,
      right: (t) => t.estimate.worstMotor === null,
      nameOf,
    }),
  ];
}

/** One motor's amplitude, measured and true, brought to one speed. */
interface Amplitude {
  readonly trial: Trial;
  readonly motor: number;
  readonly onceDps: number;
  readonly ci95Dps: readonly [number, number];
  readonly trueDps: number;
}

function amplitudesOf(trial: Trial): Amplitude[] {
  const { truth, estimate, motors } = trial;
  return motors.flatMap(({ motor, onceDps, ci95Dps }) => {
    const known = truth.motors.find((m) => m.motor === motor);
    if (known === undefined || estimate.referenceHz === null) return [];
    const trueDps = known.onceTotalDps * (estimate.referenceHz / truth.medianHz);
    return [{ trial, motor, onceDps, ci95Dps, trueDps }];
  });
}

/** Once-per-turn amplitudes of all motors, rigid craft at the reference speed. */
function amplitudeRows(trials: readonly Trial[]): Row[] {
  const all = trials.flatMap(amplitudesOf);
  const apart = all.filter(({ trial }) => trial.truth.separationHz >= FINDABLE.separationHz);
  const nameOf = ({ trial, motor, onceDps, trueDps }: Amplitude): string =>
    `${flight(trial)} motor ${motor} (${onceDps.toFixed(2)} for ${trueDps.toFixed(2)} deg/s)`;
  return [
    row({
      what: "amplitude of a motor inside its 95 % interval, modes taken off",
      least: null,
      among: all,
      right: ({ ci95Dps: [low, high], trueDps }) => low <= trueDps && trueDps <= high,
      nameOf,
    }),
    row({
      what: "… within 20 %, speeds a hertz apart",
      least: null,
      among: apart,
      right: ({ onceDps, trueDps }) => Math.abs(onceDps / trueDps - 1) <= 0.2,
      nameOf,
    }),
  ];
}
