import type { Axis, Hertz, PerAxis, Seconds } from "../units.js";

/** A half-open range of sample indices, `from` inclusive, `to` exclusive. */
export interface Span {
  readonly from: number;
  readonly to: number;
}

/** A run of missing samples. */
export interface Gap {
  readonly fromS: Seconds;
  readonly toS: Seconds;
  /** How many samples are missing. */
  readonly samples: number;
}

/** One series per axis; null where the log has none. All series have the timeline's length. */
export type AxisSeries = PerAxis<Float32Array | null>;

/** A speed report of one motor, on the timeline's samples, not yet cleaned. */
export interface SpeedReading {
  /** From 1; null when one column speaks for all. */
  readonly motor: number | null;
  /** Hz as read: rpm / 60, perhaps electrical; NaN where nothing was reported. */
  readonly hz: Float32Array;
  /** true: the header says electrical; false: it says mechanical; null: it does not say. */
  readonly electrical: boolean | null;
}

/**
 * The analysed part of one flight on a uniform clock. Sample i lies at `startS + i / sampleRate`.
 *
 * Everything after decoding works on this record: spectra, rotor, modes, filters, verdict.
 */
export interface Timeline {
  readonly sampleRate: Hertz;
  /** Log time of sample 0. */
  readonly startS: Seconds;
  readonly length: number;
  /** 1 where the sample was measured (or was a lone lost sample lawfully filled), 0 inside a gap. */
  readonly valid: Uint8Array;
  readonly gaps: readonly Gap[];
  /** Lone missing samples that were interpolated. */
  readonly filledSamples: number;
  /** Share of row steps that differ from the median step by over 20 %, gaps apart. */
  readonly jitterShare: number;

  /** deg/s */
  readonly gyroRaw: AxisSeries;
  /** deg/s */
  readonly gyroFiltered: AxisSeries;
  /** log's own units */
  readonly dterm: AxisSeries;
  /** deg/s */
  readonly setpoint: AxisSeries;
  /** 0..1, or null. From the throttle column, else the mean motor command. */
  readonly throttle: Float32Array | null;
  readonly throttleFrom: "throttle" | "motors" | null;
  /** Motor commands, 0..1, by motor number. */
  readonly motors: readonly Float32Array[];
  /** Full range of the motor command in the D-term's unit, when both share one scale; else null. */
  readonly motorRange: number | null;
  readonly rotorSpeed: readonly SpeedReading[];
  /** m/s², body x y z stored under roll pitch yaw. */
  readonly accel: AxisSeries;
  /** V */
  readonly voltage: Float32Array | null;

  /** Which flight of the file, from 1. */
  readonly flight: number;
  /** Parts in the air, inside 0..length; analysis uses only these. */
  readonly airborne: readonly Span[];
  /** Parts on the ground with motors at rest, when the log holds them: the sensor's own noise. */
  readonly resting: readonly Span[];
}

/**
 * The gyro to analyse: raw where any axis has it, else the filtered one.
 *
 * @returns the series and which they are; `source` is "none" when the log holds no gyro
 */
export function analysisGyro(timeline: Timeline): {
  series: AxisSeries;
  source: "raw" | "filtered" | "none";
} {
  const has = (s: AxisSeries): boolean => s.roll !== null || s.pitch !== null || s.yaw !== null;
  if (has(timeline.gyroRaw)) return { series: timeline.gyroRaw, source: "raw" };
  if (has(timeline.gyroFiltered)) return { series: timeline.gyroFiltered, source: "filtered" };
  return { series: timeline.gyroRaw, source: "none" };
}

/** Seconds in the air. */
export function airborneSeconds(timeline: Timeline): Seconds {
  return timeline.airborne.reduce((sum, s) => sum + (s.to - s.from), 0) / timeline.sampleRate;
}

/** Axes for which a set of series holds data, in the fixed order. */
export function presentAxes(series: AxisSeries): Axis[] {
  return (["roll", "pitch", "yaw"] as const).filter((axis) => series[axis] !== null);
}
