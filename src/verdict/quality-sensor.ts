import type { QualityCheck } from "../result.js";
import { analysisGyro, presentAxes, type Span, type Timeline } from "../timeline/timeline.js";
import { AXES, type Axis } from "../units.js";
import { above } from "./above-below.js";
import type { Measured } from "./measured.js";
import { quietSteps } from "./quiet-band-reason.js";
import { say } from "./reason.js";

/** Samples of each flown part in which the rounding step is looked for. */
const STEP_SAMPLES = 20_000;

/** Is there a gyro, raw, alive, inside its range and fine enough? */
export function sensorChecks(measured: Measured): QualityCheck[] {
  const { timeline } = measured;
  const { source, series } = analysisGyro(timeline);
  const present = presentAxes(series);
  if (source === "none") return [noGyro()];
  const scans = present.map((axis) => ({ axis, ...scan(series[axis]!, timeline) }));
  return [
    gyroPresent(scans, timeline.airborne.length > 0),
    rawGyro(source, present),
    clipping(scans, measured),
    quantisation(scans, measured),
  ];
}

interface Scan {
  readonly axis: Axis;
  /** Share of samples that sit at the largest magnitude in runs of three or more. */
  readonly clipped: number;
  /** Smallest step between neighbouring samples that differ, deg/s; 0 when none differ. */
  readonly step: number;
  readonly largest: number;
}

function noGyro(): QualityCheck {
  const message =
    "The log holds no gyro. Log the unfiltered gyro of all three axes, or name the columns in a map.";
  return { id: "gyro-present", level: "fail", message, value: 0, limit: 3, unit: "axes" };
}

/** @param flown false: nothing in the air was analysed, so no channel can be called dead */
function gyroPresent(scans: readonly Scan[], flown: boolean): QualityCheck {
  const dead = flown ? scans.filter((s) => s.step === 0).map((s) => s.axis) : [];
  const absent = AXES.filter((axis) => !scans.some((s) => s.axis === axis));
  const alive = scans.length - dead.length;
  const level = dead.length > 0 || alive === 0 ? "fail" : absent.length > 0 ? "warn" : "ok";
  const said = [
    ...(dead.length > 0 ? [`${dead.join(" and ")} never ${dead.length > 1 ? "change" : "changes"}`] : []),
    ...(absent.length > 0
      ? [`${absent.join(" and ")} ${absent.length > 1 ? "are" : "is"} not in the log`]
      : []),
  ];
  return {
    id: "gyro-present",
    level,
    message: `Gyro on ${alive} of 3 axes${said.length > 0 ? `: ${said.join(", ")}. Log all three` : ""}.`,
    value: alive,
    limit: 3,
    unit: "axes",
  };
}

function rawGyro(source: "raw" | "filtered", present: readonly Axis[]): QualityCheck {
  const raw = source === "raw";
  return {
    id: "raw-gyro",
    level: raw ? "ok" : "fail",
    message: raw
      ? "The unfiltered gyro is logged."
      : "Only the filtered gyro is logged: what the filters took off is not known, so the craft can be found loud " +
        "but never quiet. Log the unfiltered gyro.",
    value: raw ? present.length : 0,
    limit: 1,
    unit: "axes",
  };
}

function clipping(scans: readonly Scan[], { limits }: Measured): QualityCheck {
  const worst = scans.reduce((a, b) => (b.clipped > a.clipped ? b : a));
  const level = above(worst.clipped, limits.clipFailShare, limits.clipWarnShare);
  return {
    id: "clipping",
    level,
    message:
      level === "ok"
        ? `The gyro stays inside its range (largest ${say(worst.largest)} deg/s).`
        : `The gyro of ${worst.axis} sits at its end stop of ${say(worst.largest)} deg/s for ${say(100 * worst.clipped)} % ` +
          "of the time: levels are lower bounds. Fly gentler, or mount the controller softer.",
    value: worst.clipped,
    limit: level === "fail" ? limits.clipFailShare : limits.clipWarnShare,
    unit: "share",
  };
}

function quantisation(scans: readonly Scan[], measured: Measured): QualityCheck {
  const { limits, quietBand, timeline } = measured;
  const worst = scans.reduce((a, b) => (b.step > a.step ? b : a));
  const band =
    quietBand !== null && quietBand.toHz > quietBand.fromHz
      ? quietBand
      : { fromHz: 20, toHz: timeline.sampleRate / 2 };
  const allowed = quietSteps(band, measured).marginal;
  // Rounding noise of variance step² / 12 spreads evenly up to Nyquist.
  const inBand = Math.sqrt((band.toHz - band.fromHz) / (timeline.sampleRate / 2));
  const value = ((worst.step / Math.sqrt(12)) * inBand) / allowed;
  const level = above(value, limits.stepFailShare, limits.stepWarnShare);
  return {
    id: "quantisation",
    level,
    message:
      `The gyro is logged in steps of ${say(worst.step)} deg/s (${worst.axis}); their rounding noise in the quiet band ` +
      `is ${say(100 * value)} % of its limit.${level === "ok" ? "" : " Log the gyro with more digits."}`,
    value,
    limit: level === "fail" ? limits.stepFailShare : limits.stepWarnShare,
    unit: "share of the quiet-band limit",
  };
}

function scan(series: Float32Array, { airborne, valid }: Timeline): Omit<Scan, "axis"> {
  const largest = largestMagnitude(series, airborne);
  const step = largest > 0 ? stepOf(changesOf(series, airborne)) : 0;
  return { clipped: step > 0 ? clippedShare(series, largest, { airborne, valid }) : 0, step, largest };
}

/** Share of samples at ± the largest magnitude in runs of three or more: a free peak is one sample, a cut one several. */
function clippedShare(
  series: Float32Array,
  largest: number,
  { airborne, valid }: Pick<Timeline, "airborne" | "valid">,
): number {
  let clipped = 0;
  let total = 0;
  for (const { from, to } of airborne) {
    total += to - from;
    let run = 0;
    for (let i = from; i < to; i++) {
      const value = series[i]!;
      run = (value === largest || value === -largest) && valid[i] === 1 ? run + 1 : 0;
      if (run >= 3) clipped += run === 3 ? 3 : 1;
    }
  }
  return clipped / Math.max(1, total);
}

/** Changes between neighbours that differ, rising, from the first part of each span. */
function changesOf(series: Float32Array, spans: readonly Span[]): Float64Array {
  const changes: number[] = [];
  for (const { from, to } of spans) {
    for (let i = from + 1; i < Math.min(to, from + STEP_SAMPLES); i++) {
      const change = Math.abs(series[i]! - series[i - 1]!);
      if (change > 0) changes.push(change);
    }
  }
  return Float64Array.from(changes).sort();
}

/**
 * Step in which a series was rounded: a small change of which nearly all changes are whole multiples. Without such
 * a lattice the series is as good as continuous and its smallest change is given.
 *
 * @param changes sizes of changes between neighbours, > 0, rising
 * @returns 0 when nothing changes
 * @example stepOf(Float64Array.of(0.5, 0.5, 1, 1.5, 2)) // 0.5
 */
export function stepOf(changes: Float64Array): number {
  if (changes.length === 0) return 0;
  // Not the very smallest: a few samples filled in between others lie off the lattice.
  const candidate = changes[Math.floor(0.02 * changes.length)]!;
  const onLattice = changes.filter(
    (change) => Math.abs(change / candidate - Math.round(change / candidate)) < 0.05,
  );
  return onLattice.length > 0.9 * changes.length ? candidate : changes[0]!;
}

function largestMagnitude(series: Float32Array, spans: readonly Span[]): number {
  let largest = 0;
  for (const { from, to } of spans) {
    for (let i = from; i < to; i++) {
      const size = Math.abs(series[i]!);
      if (size > largest) largest = size;
    }
  }
  return largest;
}
