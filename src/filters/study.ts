import type { Axis, Decibel, DegreesPerSecond, Hertz, Interval, PerAxis } from "../units.js";
import type { Chain } from "./chain.js";

/** One path of the flight's own filtering at one throttle level: what it did, from the log. */
export interface MeasuredPath {
  /** Raw to filtered gyro, or raw gyro to D-term. */
  readonly path: "gyro" | "dterm";
  readonly axis: Axis;
  /** Throttle range of the level; `throttle` is its median, null without a throttle column. */
  readonly throttle: number | null;
  readonly fromThrottle: number;
  readonly toThrottle: number;
  readonly seconds: number;
  /** Delay of slow signals; for the D-term beyond an ideal derivative. Null when coherence does not allow it. */
  readonly delayMs: number | null;
  readonly ci95Ms: Interval | null;
  /** Lag at the crossover, degrees, positive where the output is late. */
  readonly phaseDeg: number | null;
  readonly phaseCi95Deg: Interval | null;
  /** Median γ² from 4 Hz to the crossover. */
  readonly coherence: number | null;
  /** Why there is no delay; null when there is one. */
  readonly why: string | null;
}

/** What the flight's own gyro filtering took off at one order or mode. */
export interface Attenuation {
  readonly what: string;
  readonly axis: Axis;
  /** True frequency, Hz; `folded` when the log shows it elsewhere. */
  readonly hz: Hertz;
  readonly folded: boolean;
  /** 20 log₁₀ |H1|, dB, negative where it is weakened. */
  readonly gainDb: Decibel;
  readonly ci95Db: Interval;
  readonly coherence: number;
}

/** The flight's own filtering, all levels and axes together. */
export interface OwnChain {
  /** Raw gyro to D-term where both are logged, else null. */
  readonly delayMs: number | null;
  readonly ci95Ms: Interval | null;
  /** Raw to filtered gyro. */
  readonly gyroDelayMs: number | null;
  readonly gyroCi95Ms: Interval | null;
  /** As logged, above commanded motion: deg/s, and the log's D-term units. */
  readonly gyroRms: PerAxis<DegreesPerSecond | null>;
  readonly dtermRms: PerAxis<number | null>;
  /** The plain chain that behaves like it, in words; null when none does. */
  readonly behavesLike: string | null;
  /** Largest D-term RMS that the prediction gives for that chain over the one logged: a check of the prediction. */
  readonly predictedOverLogged: number | null;
}

/** RMS above commanded motion on one axis: deg/s, and D-term units; null where the axis has no such signal. */
export interface Residual {
  readonly gyroRms: DegreesPerSecond | null;
  readonly dtermRms: number | null;
}

/** One chain, with what it would leave and cost; for this flight's own ("this flight") as measured. */
export interface Candidate {
  readonly chain: string;
  /** Null for this flight's own filtering, whose parts are not known. */
  readonly steps: Chain | null;
  readonly role: CandidateRole;
  /** From raw gyro to D-term for slow signals, mean over the flight. */
  readonly delayMs: number;
  /** Least and most over the throttle levels; as measured, so chance included, for this flight's own. */
  readonly delayRangeMs: Interval;
  /** The part of it from raw to filtered gyro. */
  readonly gyroDelayMs: number | null;
  /** Lag at the crossover, whole way to the D-term beyond an ideal derivative; and of the filtered gyro. */
  readonly phaseDeg: number | null;
  readonly gyroPhaseDeg: number | null;
  /** Worst axis; the intervals are null for this flight's own, which is measured. */
  readonly gyroRms: DegreesPerSecond;
  readonly gyroCi95: Interval | null;
  readonly dtermRms: number;
  readonly dtermCi95: Interval | null;
  readonly axes: PerAxis<Residual>;
  /** Share of the worst axis' D-term power from above the log's Nyquist: it rests on what is assumed of folded noise. */
  readonly aboveNyquistShare: number | null;
  /** Whether the D-term is within the limit; null without a limit, or where the interval spans it. */
  readonly meetsLimit: boolean | null;
  readonly levels: readonly {
    readonly throttle: number | null;
    readonly delayMs: number;
    readonly axes: PerAxis<Residual>;
  }[];
}

export type CandidateRole = "this flight" | "least delay" | "trade-off" | "example";

/** The section `filters` of the result. */
export interface FilterStudy {
  /** Predictions are open loop: what the other filters would have made of this flight's own raw gyro. */
  readonly openLoop: true;
  readonly loopRateHz: Hertz;
  readonly loopRateFrom: "option" | "craft" | "assumed";
  readonly crossoverHz: Hertz;
  readonly crossoverFrom: "option" | "craft" | "assumed";
  /** Lowest frequency that counts as vibration. */
  readonly fromHz: Hertz;
  readonly dtermUnit: "log's own units" | "deg/s²";
  /** D-term units per deg/s², as calibrated from the log, per axis. */
  readonly dtermGain: PerAxis<number | null>;
  readonly limit: DtermLimit | null;
  readonly measured: readonly MeasuredPath[];
  readonly attenuation: readonly Attenuation[];
  readonly own: OwnChain;
  readonly candidates: readonly Candidate[];
  /** What could be done, one step at a time, and the cautions. */
  readonly advice: readonly string[];
  readonly doubts: readonly string[];
}

/** D-term RMS, worst axis, that a chain may leave. */
export interface DtermLimit {
  readonly value: number;
  readonly how: "share of motor range" | "this flight's own level";
  /** Share of the motor range when that is how. */
  readonly share: number | null;
}

/** No study, and why: the polite refusal. */
export interface FilterRefusal {
  readonly what: string;
  readonly cost: string;
}
