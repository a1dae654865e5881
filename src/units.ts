/**
 * Names for the units that bare numbers carry inside the program, and the three body axes.
 * The aliases are documentation: the compiler does not tell them apart, the reader does.
 */

export type Hertz = number;
export type Seconds = number;
export type DegreesPerSecond = number;
export type Decibel = number;

/** Rotation axes of the craft, in the order in which every table and chart lists them. */
export const AXES = ["roll", "pitch", "yaw"] as const;
export type Axis = (typeof AXES)[number];
export type PerAxis<T> = Readonly<Record<Axis, T>>;

/** A two-sided 95 % interval, `[low, high]`, in the unit of the value it belongs to. */
export type Interval = readonly [low: number, high: number];

/** Builds one value per axis. */
export function perAxis<T>(make: (axis: Axis) => T): PerAxis<T> {
  return { roll: make("roll"), pitch: make("pitch"), yaw: make("yaw") };
}
