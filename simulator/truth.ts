import type { Axis, Hertz, Interval, PerAxis, Seconds } from "../src/units.js";
import type { FilterSpec, SpeedUnit, TrueModeKind } from "./scenario.js";

/** A line that turns, as it truly is. */
export interface TrueOrder {
  readonly order: number;
  /** order · median rotor frequency, not folded. */
  readonly medianHz: Hertz;
  /** Where that lies in the log. */
  readonly loggedHz: Hertz;
  /** Share of the time in the air in which the line lay above the log's Nyquist. */
  readonly foldedShare: number;
  /**
   * dB of the line's power, all motors together at reference speed (modes crossed included), over the floor's
   * power in `ORDER_LEVEL_BANDWIDTH_HZ`, per axis; -Infinity where it does not show.
   */
  readonly levelDb: PerAxis<number>;
  /** false for the lines nobody lists. */
  readonly listed: boolean;
}

/** Resolution bandwidth in which an order's level is stated: a Hann segment of a quarter second. */
export const ORDER_LEVEL_BANDWIDTH_HZ = 6;

/** A fixed resonance, as it truly is. */
export interface TrueMode {
  /** Undamped natural frequency at median thrust. */
  readonly frequencyHz: Hertz;
  readonly dampingRatio: number;
  readonly kind: TrueModeKind;
  /** dB above the broadband floor of the logged raw gyro at reference speed; only the axes where it was put. */
  readonly axes: readonly {
    readonly axis: Axis;
    readonly prominenceDb: number;
    /** The same for the spectrum averaged over the flight: lower where drift smears the peak. */
    readonly averagedDb: number;
  }[];
  /** Where the flight's average peaks: `frequencyHz` unless the mode drifts. */
  readonly averagedHz: Hertz;
  /** Lowest and highest natural frequency in the air. */
  readonly rangeHz: Interval;
  /** Frequency at the 95th percentile of thrust less that at the 5th. */
  readonly driftHz: Hertz;
  /** Share of one-second frames (hop half a second) whose half-power band, 4 bins of guard on either side, no order line enters. */
  readonly freeShare: number;
  /** At least 8 such frames. */
  readonly observable: boolean;
}

export interface TrueMotor {
  readonly motor: number;
  /** Rigid-body once-per-turn rate amplitude at the reference speed, deg/s, per axis; ∝ speed. */
  readonly onceDps: PerAxis<number>;
  /** Root of the sum of squares over the axes. */
  readonly onceTotalDps: number;
}

/** Everything true of an invented flight. */
export interface Truth {
  readonly seed: number;
  readonly name: string;
  readonly sampleRate: Hertz;
  readonly nyquistHz: Hertz;
  /** Rate of physics and filter loop. */
  readonly physicsRate: Hertz;
  readonly airFromS: Seconds;
  readonly airToS: Seconds;
  readonly rotor: {
    /** Mechanical Hz per motor, one value per timeline sample. */
    readonly tracks: readonly Float32Array[];
    /** Mean over the motors. */
    readonly common: Float32Array;
    /** Median of `common` in the air; also the reference speed. */
    readonly medianHz: Hertz;
    /** 5th and 95th percentile of `common` in the air. */
    readonly bandHz: Interval;
    /** Median absolute difference between neighbours in speed, median over the flight: do the motors separate? */
    readonly separationHz: Hertz;
    /** What the reported number must be divided by to be mechanical; null without telemetry. */
    readonly divisor: number | null;
    readonly unit: SpeedUnit | null;
    readonly blades: number;
    /** Age of a reading at the moment it is first logged. */
    readonly delayS: Seconds | null;
    /** Mean age of the held steps as logged: the delay plus half a refresh. */
    readonly meanAgeS: Seconds | null;
    /** The motor with k times the imbalance, or null when all are alike. */
    readonly worstMotor: number | null;
    readonly worstFactor: number;
    readonly motors: readonly TrueMotor[];
    readonly orders: readonly TrueOrder[];
  };
  readonly modes: readonly TrueMode[];
  readonly tones: readonly {
    readonly trueHz: Hertz;
    readonly loggedHz: Hertz;
    readonly folded: boolean;
    readonly axes: readonly Axis[];
    readonly amplitudeDps: Partial<PerAxis<number>>;
    readonly driftHzPerS: number;
  }[];
  readonly chain: {
    readonly loopRateHz: Hertz;
    readonly gyro: readonly FilterSpec[];
    readonly dterm: readonly FilterSpec[];
    /** Exact delays at zero frequency: raw to filtered gyro; filtered gyro to D-term, half a loop step of the difference included. */
    readonly gyroDelayS: Seconds;
    readonly dtermDelayS: Seconds;
  };
  readonly sensor: {
    /** (deg/s)/√Hz at loop rate, and as logged (folded, quantisation included). */
    readonly density: number;
    readonly loggedDensity: number;
    readonly quantumDps: number;
    /** RMS of sensor noise and quantisation in the logged raw gyro, deg/s. */
    readonly rmsDps: number;
  };
  /** Analytic broadband floor of the logged raw gyro at reference speed, (deg/s)²/Hz. */
  floorDensity(frequencyHz: Hertz, axis: Axis): number;
}
