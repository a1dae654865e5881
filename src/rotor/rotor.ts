import type { Hertz, Interval, Seconds } from "../units.js";

/** Speed of one motor (or of all, when only a common speed is known), one value per timeline sample. */
export interface SpeedTrack {
  /** From 1; null for a common track. */
  readonly motor: number | null;
  /** Mechanical rotor frequency, Hz; NaN where unknown. */
  readonly hz: Float32Array;
}

/** A line at a fixed multiple of rotor speed. */
export interface OrderLine {
  readonly order: number;
  /** dB above the local floor. */
  readonly levelDb: number;
  /** Share of the analysed time in which the line lay folded about the log's Nyquist. */
  readonly foldedShare: number;
  /** Median true frequency order · F, Hz (not folded). */
  readonly medianHz: Hertz;
  /** Half-width of the mask as a fraction of the line's frequency, beyond what speed change explains. */
  readonly halfWidth: number;
}

/** Once-per-turn amplitude of one motor at the reference speed. */
export interface MotorImbalance {
  readonly motor: number;
  readonly onceDps: number;
  readonly ci95Dps: Interval;
}

export interface CurvePoint {
  readonly throttle: number;
  readonly hz: Hertz;
  readonly ci95Hz: Interval;
}

/** All that is known of what turns. `tracks` is empty exactly when `source` is "none". */
export interface RotorEstimate {
  readonly source: "telemetry" | "inferred" | "none";
  /** Probability-like, 0..1: share of such answers whose median speed is within 3 % (0.5 % with telemetry). */
  readonly confidence: number;
  readonly medianHz: Hertz | null;
  /** 5th and 95th percentile over the analysed part. */
  readonly bandHz: Interval | null;
  readonly curve: readonly CurvePoint[];
  readonly polePairs: number | null;
  /** "craft", "header", "data", or null when unknown. */
  readonly polePairsHow: string | null;
  readonly blades: number | null;
  /** "craft" or "data", null when unknown. */
  readonly bladesHow: string | null;
  readonly delayS: Seconds | null;
  readonly delayCi95S: Interval | null;
  readonly worstMotor: number | null;
  readonly motors: readonly MotorImbalance[];
  readonly referenceHz: Hertz | null;
  readonly orders: readonly OrderLine[];
  readonly tracks: readonly SpeedTrack[];
  /** The rotors' speed hardly varies: lines stand still and fixed and moving cannot be told apart where they lie. */
  readonly hover: boolean;
  /** What the estimate cannot say, in words. */
  readonly doubts: readonly string[];
}
