import type { Hertz, PerAxis, Seconds } from "../units.js";

/** Flights are matched by what drives the vibration: rotor speed where it is known, else throttle, else not at all. */
export type MatchedBy = "rotor speed" | "throttle" | "nothing";

/** A range of rotor speed (Hz) or throttle (0..1) with the calm flight time spent in it. */
export interface FlownClass {
  /** Number on a fixed logarithmic scale, the same in every log; even and odd ones are two scales that overlap by half. */
  readonly index: number;
  readonly from: number;
  readonly to: number;
  readonly seconds: Seconds;
}

/** Levels of one axis: one row a class, one entry a cell. */
export interface CellLevels {
  /** dB re 1 (deg/s)²/Hz at the middle of the class, between the order lines; null where too little was free of them. */
  readonly levelDb: readonly (readonly (number | null)[])[];
  /** Equivalent degrees of freedom behind each level, block-to-block scatter included; 0 where there is none. */
  readonly dof: readonly (readonly number[])[];
}

/** Mean square of a line per class with its equivalent degrees of freedom. */
export interface LineLevels {
  /** (deg/s)², the floor below the line taken off; may be negative where the line is lost in it. */
  readonly meanSquare: readonly number[];
  readonly dof: readonly number[];
}

/** One order of one flight, all motors together: in narrow classes, per axis and over all axes. */
export interface OrderLevels {
  readonly order: number;
  readonly classes: readonly FlownClass[];
  readonly axes: PerAxis<LineLevels | null>;
  /** Sum over the axes. */
  readonly together: LineLevels;
}

/** Once per turn of one motor over all axes, in narrow classes of its own speed. */
export interface MotorLevels extends LineLevels {
  readonly motor: number;
  readonly classes: readonly FlownClass[];
}

/**
 * What a later comparison needs of a flight, small enough to be kept in the saved result: levels by frequency cell
 * and by rotor-speed class with their equivalent degrees of freedom, and order amplitudes by rotor speed.
 */
export interface Fingerprint {
  /** Raised when the cells, classes or estimators change: only equal numbers compare. */
  readonly version: 1;
  readonly gyro: "raw" | "filtered";
  readonly matchedBy: MatchedBy;
  /** Relative standard deviation of the speed that the flight is matched by; 0 when matched by throttle or nothing. */
  readonly speedSd: number;
  /** Length of a frame. */
  readonly frameS: Seconds;
  readonly classes: readonly FlownClass[];
  /** Edges of the frequency cells, one more than cells; whole cells fill third-octave bands. */
  readonly edgesHz: readonly Hertz[];
  readonly axes: PerAxis<CellLevels | null>;
  readonly orders: readonly OrderLevels[];
  /** Empty when the speed is not known per motor. */
  readonly motors: readonly MotorLevels[];
}
