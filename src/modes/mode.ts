import type { Axis, Decibel, Hertz, Interval, PerAxis } from "../units.js";
import type { ModeShape } from "./fit-modes.js";

export type ModeKind = "structure" | "payload" | "loop" | "unresolved";

/** A fixed resonance. Field names are those of the result contract. */
export interface Mode {
  /** Undamped natural frequency. */
  readonly frequencyHz: Hertz;
  readonly ci95Hz: Interval;
  readonly dampingRatio: number;
  readonly dampingCi95: Interval;
  readonly kind: ModeKind;
  readonly axes: readonly { readonly axis: Axis; readonly prominenceDb: Decibel }[];
  /** Share of modes given this number that are real, in simulation. */
  readonly confidence: number;
  /** "both" when a second, independent method finds it too; "one" when it does not; "untested" when that method could not run. */
  readonly agreement: "both" | "one" | "untested";
  /** Change of frequency over the flight's range of rotor speed, Hz; null when it cannot be told. */
  readonly driftHz: number | null;
  readonly excitedBy: readonly { readonly order: number; readonly throttle: number | null }[];
}

/** A fixed line too narrow for a damped structure. */
export interface Tone {
  readonly frequencyHz: Hertz;
  readonly axes: readonly Axis[];
  readonly foldedFromHz: Hertz | null;
}

export interface UnobservableBand {
  readonly fromHz: Hertz;
  readonly toHz: Hertz;
  readonly why: string;
}

/** The averaged spectrum of what stays put on one axis, with the fitted model, on one frequency axis. */
export interface FixedSpectrum {
  readonly frequency: Float64Array;
  /** (deg/s)²/Hz; NaN where too few cells were free. */
  readonly density: Float64Array;
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  /** Free frames behind each bin. */
  readonly frames: Float64Array;
  /** Fitted floor plus modes; NaN outside the fits' windows. */
  readonly model: Float64Array;
  /** Local broadband floor. */
  readonly floor: Float64Array;
}

export interface ModesEstimate {
  /** By rising frequency. */
  readonly modes: readonly Mode[];
  readonly tones: readonly Tone[];
  readonly unobservable: readonly UnobservableBand[];
  readonly fixed: PerAxis<FixedSpectrum | null>;
  /** The structures as fitted on each axis that shows them. */
  readonly shapes: PerAxis<readonly ModeShape[]>;
  /** Stated false-alarm rate of the whole search. */
  readonly falseAlarmRate: number;
  readonly doubts: readonly string[];
}
