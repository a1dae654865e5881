import type { Fingerprint } from "./compare/fingerprint.js";
import type { How } from "./decode/flight-log.js";
import type { Mode, Tone, UnobservableBand } from "./modes/mode.js";
import type { CurvePoint, MotorImbalance } from "./rotor/rotor.js";
import type { Decibel, DegreesPerSecond, Hertz, Interval, PerAxis, Seconds } from "./units.js";

/**
 * The result contract: what `check --json` prints and what is saved as result.json.
 * Field names are fixed; schema/result.schema.json is the published form of this file.
 * A number that cannot be known is null, never NaN.
 */
export interface Result {
  readonly schemaVersion: string;
  readonly tool: { readonly name: "quietspar"; readonly version: string };
  readonly settings: Settings;
  readonly log: LogSummary;
  readonly analysed: {
    readonly flight: number;
    readonly fromS: Seconds;
    readonly toS: Seconds;
    readonly airborneS: Seconds;
  };
  readonly missing: readonly { readonly what: string; readonly cost: string }[];
  readonly quality: readonly QualityCheck[];
  readonly rotor: RotorSummary;
  readonly modes: readonly Mode[];
  readonly tones: readonly Tone[];
  readonly modesUnobservable: readonly UnobservableBand[];
  readonly firstMode: Mode | null;
  readonly axes: PerAxis<AxisSummary>;
  readonly verdict: Verdict;
  /** What filtering costs, a `FilterStudy` (src/filters/study.ts); null when the log cannot tell (`missing` then says why). */
  readonly filters: unknown;
  readonly footage: unknown;
  readonly history: unknown;
  /** What a later comparison needs of this flight; null when there is too little calm flight. Absent in results of earlier versions. */
  readonly fingerprint?: Fingerprint | null;
}

/** Every setting and limit in force. */
export interface Settings {
  readonly options: Readonly<Record<string, string | number | boolean | null>>;
  readonly craft: unknown;
  /** Limits in force by name, with where each came from. */
  readonly limits: Readonly<
    Record<string, { readonly value: number; readonly unit: string; readonly from: "default" | "craft" }>
  >;
}

export interface LogSummary {
  readonly file: string;
  readonly sha256: string;
  readonly durationS: Seconds;
  readonly sampleRateHz: Hertz;
  readonly nyquistHz: Hertz;
  readonly rows: number;
  readonly gaps: readonly { readonly fromS: Seconds; readonly toS: Seconds; readonly samples: number }[];
  readonly columns: Readonly<
    Record<
      string,
      {
        readonly headers: readonly string[];
        readonly unit: string;
        readonly scale: number;
        readonly how: How;
      }
    >
  >;
  readonly notes: readonly { readonly key: string; readonly value: string }[];
  readonly warnings: readonly {
    readonly id: string;
    readonly message: string;
    readonly count: number;
    readonly row: number | null;
  }[];
}

export type QualityLevel = "ok" | "warn" | "fail";

export interface QualityCheck {
  readonly id: string;
  readonly level: QualityLevel;
  /** What was found and what to do. */
  readonly message: string;
  readonly value: number | null;
  readonly limit: number | null;
  readonly unit: string;
}

export interface RotorSummary {
  readonly source: "telemetry" | "inferred" | "none";
  readonly confidence: number;
  readonly medianHz: Hertz | null;
  readonly bandHz: Interval | null;
  readonly curve: readonly CurvePoint[];
  readonly polePairs: number | null;
  readonly polePairsHow: string | null;
  readonly blades: number | null;
  readonly bladesHow: string | null;
  readonly delayS: Seconds | null;
  readonly delayCi95S: Interval | null;
  readonly worstMotor: number | null;
  readonly motors: readonly MotorImbalance[];
  readonly referenceHz: Hertz | null;
  readonly orders: readonly {
    readonly order: number;
    readonly levelDb: Decibel;
    readonly foldedShare: number;
    readonly medianHz: Hertz;
  }[];
  readonly doubts: readonly string[];
}

export interface AxisSummary {
  readonly quietBand: {
    readonly fromHz: Hertz | null;
    readonly toHz: Hertz | null;
    readonly rmsDps: DegreesPerSecond | null;
    readonly ci95Dps: Interval | null;
    readonly floorDps: DegreesPerSecond | null;
  };
  readonly strongestLine: { readonly hz: Hertz; readonly levelDb: Decibel; readonly what: string } | null;
  readonly bands: readonly {
    readonly fromHz: Hertz;
    readonly toHz: Hertz;
    readonly gyroRawDps: DegreesPerSecond | null;
    readonly gyroFilteredDps: DegreesPerSecond | null;
    readonly dterm: number | null;
  }[];
  /** What was kept out of the quiet-band figure (throttle chops, wash, gusts): seconds, and RMS in the same band. */
  readonly wash: { readonly seconds: Seconds; readonly rmsDps: DegreesPerSecond | null };
}

export type Call = "quiet" | "marginal" | "loud" | "undetermined";
export type ReasonLevel = "ok" | "marginal" | "loud" | "unknown";

export interface Reason {
  /** Stable name, also the argument of `quietspar explain`. */
  readonly id: string;
  readonly level: ReasonLevel;
  readonly value: number | null;
  readonly ci95: Interval | null;
  readonly limit: number | null;
  readonly unit: string;
  readonly axis: "roll" | "pitch" | "yaw" | null;
  readonly message: string;
  /** Whether the call needs this reason: a required reason that is unknown makes the call undetermined. */
  readonly required: boolean;
}

export interface Verdict {
  readonly call: Call;
  /** The call in one sentence. */
  readonly sentence: string;
  readonly reasons: readonly Reason[];
  readonly next: readonly string[];
  readonly cautions: readonly string[];
}
