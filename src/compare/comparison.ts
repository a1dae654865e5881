import type { Mode } from "../modes/mode.js";
import type { Call } from "../result.js";
import type { Axis, Decibel, Hertz, Interval } from "../units.js";
import type { MatchedBy } from "./fingerprint.js";

/** How a level of the flights after the change stands to the same level before, at equal rotor speed. */
export interface LevelChange {
  /** 10 lg(after / before): positive is louder. */
  readonly ratioDb: Decibel;
  readonly ci95Db: Interval;
  readonly pValue: number;
  /** Kept by the false-discovery bound. */
  readonly significant: boolean;
}

/** One third-octave band of one axis, between the order lines. */
export interface BandChange extends LevelChange {
  readonly fromHz: Hertz;
  readonly toHz: Hertz;
  readonly axis: Axis;
  /** Equivalent degrees of freedom before and after, scatter between flights included. */
  readonly dof: readonly [before: number, after: number];
}

/** All compared bands of an axis together: the mean of their ratios in dB, each weighing by how well it is known. */
export interface AxisChange extends LevelChange {
  readonly axis: Axis;
  readonly fromHz: Hertz;
  readonly toHz: Hertz;
}

export interface OrderChange extends LevelChange {
  readonly order: number;
  /** "all": the sum over the axes, on which an order is judged. */
  readonly axis: Axis | "all";
}

/** Once-per-turn power of one motor over all axes, at equal speed of that motor. */
export interface MotorChange extends LevelChange {
  readonly motor: number;
}

/** A mode that both flights show. */
export interface ModeChange {
  readonly pair: readonly [before: Mode, after: Mode];
  readonly shiftHz: Hertz;
  readonly ci95Hz: Interval;
  readonly shiftPercent: number;
  readonly ci95Percent: Interval;
  /** Damping after over before. */
  readonly dampingRatio: number;
  readonly dampingCi95: Interval;
  readonly pValue: number;
  readonly significant: boolean;
}

/** A mode that only one side shows. */
export interface LoneMode {
  readonly mode: Mode;
  readonly side: "before" | "after";
  /**
   * `absent`: the other log would have shown it, and does not. `hidden`: the other log could not have shown it there.
   * `unclear`: the other log neither shows it nor shows that it is gone.
   */
  readonly inOther: "absent" | "hidden" | "unclear";
  /** How far the peak stands lower in the other log, dB; null where that cannot be measured. */
  readonly fallDb: Decibel | null;
  readonly pValue: number | null;
  readonly why: string;
}

export type Finding = "better" | "worse" | "mixed" | "changed" | "no difference" | "cannot tell";

export type Question = "level" | "once per turn" | "motors" | "first mode" | "modes" | "filtering" | "call";

/** One question, one word, one sentence. */
export interface Answer {
  readonly question: Question;
  readonly finding: Finding;
  readonly sentence: string;
}

/** One flight of a row of more than two, against the first. */
export interface TrendPoint {
  readonly flight: string;
  readonly axes: readonly (Omit<LevelChange, "significant" | "pValue"> & { readonly axis: Axis })[];
  readonly onceDb: Decibel | null;
  readonly onceCi95Db: Interval | null;
  readonly firstModeHz: Hertz | null;
  readonly firstModeCi95Hz: Interval | null;
  readonly call: Call;
}

/** One flight, as shown beside the comparison. */
export interface FlightFacts {
  readonly file: string;
  readonly sha256: string;
  readonly side: "before" | "after";
  readonly sampleRateHz: Hertz;
  readonly airborneS: number;
  readonly gyro: "raw" | "filtered" | null;
  readonly call: Call;
}

/** What was compared with what, and by which limits. */
export interface ComparisonSettings {
  /** Flights from this one on (from 1) are after the change. */
  readonly changeBefore: number;
  readonly otherPropeller: boolean;
  readonly matchedBy: MatchedBy | null;
  /** Seconds of calm flight in classes that both sides flew. */
  readonly sharedS: readonly [before: number, after: number];
  /** Standard deviation of a level from flight to flight that the intervals hold, dB, and where it comes from. */
  readonly scatterDb: Decibel;
  readonly scatterFrom: "assumed" | "flights";
  /** Bound on the share of false claims, by question. */
  readonly falseDiscovery: Readonly<Record<"axes" | "bands" | "orders" | "motors" | "modes", number>>;
}

/** What `compare --json` prints; schema/comparison.schema.json is its published form. */
export interface Comparison {
  readonly schemaVersion: string;
  readonly tool: { readonly name: "quietspar"; readonly version: string };
  readonly comparable: boolean;
  /** Why not, in words; empty when comparable. */
  readonly refusals: readonly string[];
  /** What to keep in mind. */
  readonly caveats: readonly string[];
  readonly flights: readonly FlightFacts[];
  readonly settings: ComparisonSettings;
  readonly answers: readonly Answer[];
  readonly bands: readonly BandChange[];
  readonly axes: readonly AxisChange[];
  readonly orders: readonly OrderChange[];
  readonly motors: readonly MotorChange[];
  readonly modes: readonly ModeChange[];
  readonly loneModes: readonly LoneMode[];
  readonly trend: readonly TrendPoint[];
  /** Curves for drawing: level at equal speed per cell, dB re 1 (deg/s)²/Hz, null where not compared. */
  readonly overlay: readonly OverlayCurve[];
}

export interface OverlayCurve {
  readonly axis: Axis;
  /** Middles of the cells. */
  readonly hz: readonly Hertz[];
  readonly beforeDb: readonly (Decibel | null)[];
  readonly afterDb: readonly (Decibel | null)[];
}
