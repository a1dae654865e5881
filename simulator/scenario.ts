import type { Axis, Hertz, PerAxis, Seconds } from "../src/units.js";

/** What turns. Speeds are mechanical rotor frequencies, Hz. */
export interface RotorsSpec {
  /** Rotors, 3..12. With `coaxial` an even number, motors 2k-1 and 2k on one arm. */
  readonly count: number;
  readonly blades: number;
  /** Propeller diameter, inch. Sets the defaults of `hoverHz` and `lagS`. */
  readonly propellerInch: number;
  /** Rotor frequency at `hoverThrottle` with a full battery; null: from the propeller's size. */
  readonly hoverHz: Hertz | null;
  readonly hoverThrottle: number;
  /** Speed ∝ command^exponent near hover, 0.5 (thrust ∝ command) .. 1 (speed ∝ command). */
  readonly exponent: number;
  /** Share of speed lost to load at full command, beyond the power law. */
  readonly saturation: number;
  /** First-order time constant from command to speed; null: from the propeller's size, 30..120 ms. */
  readonly lagS: Seconds | null;
  /** Standard deviation of the motors' speed constants, relative. */
  readonly spread: number;
  /** Constant differences of command between motors (centre of gravity off the middle), standard deviation, 0..1. */
  readonly trim: number;
  readonly coaxial: boolean;
  /** Speed of the lower rotor of a coaxial pair over the upper. */
  readonly coaxialRatio: number;
  /** Loss of battery voltage from take-off to landing, relative. */
  readonly sag: number;
  readonly cells: number;
  /** Electrical turns per mechanical turn. */
  readonly polePairs: number;
  /** A motor (from 1) with `factor` times the imbalance of the others. */
  readonly bad: { readonly motor: number; readonly factor: number } | null;
  /** Standard deviation of imbalance between the (other) motors, relative. */
  readonly imbalanceSpread: number;
  /** Height of the rotor plane over the centre of gravity, in arm lengths: lever of side forces. */
  readonly height: number;
}

/** Named ways to fly; or break points `[seconds in the air, throttle 0..1]`, linear between. */
export type ThrottleProfile =
  | "sweep"
  | "cruise"
  | "punchy"
  | "hover"
  | readonly (readonly [Seconds, number])[];

/** How it is flown. */
export interface FlightSpec {
  readonly profile: ThrottleProfile;
  /** Relative unsteadiness of throttle, RMS; null: what the profile brings (1..5 %). */
  readonly throttleWobble: number | null;
  /** Seconds logged on the ground with motors at rest. */
  readonly restBeforeS: Seconds;
  readonly restAfterS: Seconds;
  /** Standard deviation of the attitude controller's output, in throttle units, per axis. */
  readonly controlActivity: number;
  /** RMS of commanded rate, deg/s (yaw gets half). */
  readonly motionDps: number;
  /** RMS rate from gusts, deg/s (yaw gets half). */
  readonly gustDps: number;
  /** Descents through the own wash per minute, and how much they multiply the wash force. */
  readonly burstsPerMinute: number;
  readonly burstGain: number;
}

/** Lines that climb with rotor speed; rigid-body rate amplitude per motor at the reference speed, deg/s. */
export interface LinesSpec {
  /** Once per turn: imbalance, a side force turning with the rotor. */
  readonly onceDps: number;
  readonly twiceDps: number;
  /** Blade pass and its multiples: thrust ripple. Entry k is order (k + 1) · blades. */
  readonly bladePassDps: readonly number[];
  /** Lines at orders that nobody lists. */
  readonly unlisted: readonly { readonly order: number; readonly dps: number }[];
  /** Slow relative wandering of each line's amplitude, standard deviation. */
  readonly wander: number;
}

/** Broadband force of the rotors' wash; force ∝ speed², so power ∝ speed⁴. */
export interface WashSpec {
  /** Rate density on roll and pitch at 100 Hz and reference speed, (deg/s)/√Hz. */
  readonly density: number;
  /** Rate density falls as 1/f up to here and stays level above. */
  readonly cornerHz: Hertz;
}

export type TrueModeKind = "structure" | "payload" | "loop";

/** A resonance of what does not turn. */
export interface ModeSpec {
  /** Undamped natural frequency at reference thrust. */
  readonly frequencyHz: Hertz;
  readonly dampingRatio: number;
  /** dB above the broadband floor of the logged raw gyro at reference speed, on the axes where it shows. */
  readonly prominenceDb: Partial<PerAxis<number>>;
  /** Default "structure". A "loop" oscillation's frequency follows the square root of throttle. */
  readonly kind?: TrueModeKind;
  /** Relative fall of frequency from the 5th to the 95th percentile of thrust; default 0. */
  readonly drift?: number;
  /** Standard deviation of the motors' coupling about 1; 0 (default) drives the mode with the rigid body's torque. */
  readonly couplingSpread?: number;
}

/** A fixed narrow line. Above the log's Nyquist it appears folded. */
export interface ToneSpec {
  readonly frequencyHz: Hertz;
  /** Amplitude on each axis where it shows, deg/s. */
  readonly amplitudeDps: Partial<PerAxis<number>>;
  /** Steady drift, Hz per second; default 0. */
  readonly driftHzPerS?: number;
}

export interface SensorSpec {
  /** White noise at the loop rate, (deg/s)/√Hz. Picking every n-th sample folds it: √n times that in the log. */
  readonly density: number;
  /** Step of the logged gyro, deg/s; 0: none. */
  readonly quantumDps: number;
  readonly clipDps: number;
}

/** One filter of the chain, at loop rate. */
export type FilterSpec =
  | { readonly type: "lowpass1"; readonly cutoffHz: Hertz }
  | { readonly type: "lowpass2"; readonly cutoffHz: Hertz; readonly q?: number }
  | { readonly type: "notch"; readonly centreHz: Hertz; readonly q: number };

export interface ChainSpec {
  /** Raw gyro → filtered gyro. */
  readonly gyro: readonly FilterSpec[];
  /** Further filters on the way from filtered gyro to D-term. */
  readonly dterm: readonly FilterSpec[];
  /** D = -kd · d(filtered gyro)/dt, motor-command units (0..`motorRange`) per deg/s². */
  readonly kd: number;
  /** Full motor command in the D-term's unit. */
  readonly motorRange: number;
}

export type SpeedUnit = "rpm" | "electrical rpm" | "Hz" | "rad/s";

/** How the motors' speed is reported. */
export interface TelemetrySpec {
  readonly unit: SpeedUnit;
  /** Whether the header says "electrical"; else an electrical speed is called plain rpm. */
  readonly tellsElectrical: boolean;
  /** Age of a reading when it is logged. */
  readonly delayS: Seconds;
  /** New readings per second and motor; in between the last one is held. */
  readonly refreshHz: Hertz;
  /** Step of the reported number, in its own unit. */
  readonly step: number;
  /** Stretches of zeros, of frozen values, and lone wild values, each per motor and minute. */
  readonly dropoutsPerMinute: number;
  readonly stalePerMinute: number;
  readonly spikesPerMinute: number;
}

export interface FaultsSpec {
  /** Logged in bursts: `onS` seconds written, `offS` lost. */
  readonly burst: { readonly onS: Seconds; readonly offS: Seconds } | null;
  /** Share of rows lost one by one. */
  readonly lostRows: number;
  /** Standard deviation of the time stamps' jitter, as a share of the row step (samples stay uniform). */
  readonly jitter: number;
}

/** Which signals the log holds. */
export interface ColumnsSpec {
  readonly gyroRaw: boolean;
  readonly gyroFiltered: boolean;
  readonly dterm: readonly Axis[];
  readonly throttle: boolean;
  readonly motors: boolean;
  readonly setpoint: boolean;
  readonly accel: boolean;
  readonly voltage: boolean;
}

/** A flight to invent. Only seed, duration and log rate are compulsory; the defaults are in `DEFAULTS`. */
export interface Scenario {
  readonly seed: number;
  /** Seconds in the air. */
  readonly durationS: Seconds;
  readonly logRateHz: Hertz;
  /** Decides what is the craft's own (motor spread, imbalance, mode shapes); default: `seed`. Flights of one craft share it. */
  readonly craftSeed?: number;
  /** Speed at which the stated levels hold; default: the flight's median. Flights of one craft share it. */
  readonly referenceHz?: Hertz;
  readonly name?: string;
  readonly rotors?: Partial<RotorsSpec>;
  readonly flight?: Partial<FlightSpec>;
  readonly lines?: Partial<LinesSpec>;
  readonly wash?: Partial<WashSpec>;
  readonly modes?: readonly ModeSpec[];
  readonly tones?: readonly ToneSpec[];
  readonly sensor?: Partial<SensorSpec>;
  readonly chain?: Partial<ChainSpec>;
  /** null (default): no speed report. */
  readonly telemetry?: Partial<TelemetrySpec> | null;
  readonly faults?: Partial<FaultsSpec>;
  readonly columns?: Partial<ColumnsSpec>;
}

/** A scenario with every choice made. */
export interface FullScenario {
  readonly seed: number;
  readonly durationS: Seconds;
  readonly logRateHz: Hertz;
  readonly craftSeed: number;
  /** null: the flight's median speed. */
  readonly referenceHz: Hertz | null;
  readonly name: string;
  readonly rotors: RotorsSpec & { readonly hoverHz: Hertz; readonly lagS: Seconds };
  readonly flight: FlightSpec;
  readonly lines: LinesSpec;
  readonly wash: WashSpec;
  readonly modes: readonly ModeSpec[];
  readonly tones: readonly ToneSpec[];
  readonly sensor: SensorSpec;
  readonly chain: ChainSpec;
  readonly telemetry: TelemetrySpec | null;
  readonly faults: FaultsSpec;
  readonly columns: ColumnsSpec;
}
