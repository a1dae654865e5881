import type { Interval } from "../units.js";
import type { AxisMode } from "./axis-mode.js";
import type { Drift } from "./drift.js";

/** One mode seen on one or more axes. */
export interface MergedMode {
  /** Strongest axis first. */
  readonly seen: readonly AxisMode[];
  readonly frequencyHz: number;
  readonly sdHz: number;
  readonly dampingRatio: number;
  readonly sdLogDamping: number;
  /** Change of frequency over the flight's range of thrust; null when it cannot be told. */
  readonly drift: Drift | null;
  /** The same as measured, before what is known of joints comes in. */
  readonly measuredDrift: Drift | null;
}

/** Inflation of the fit's own deviation: neighbours and levelling are not known exactly. */
const INFLATION = 1.35;
/** A mode's frequency is never claimed better than this share of its half-width. */
const LEAST_SHARE_OF_HALF_WIDTH = 0.03;
/** Two-sided 95 % of a normal variable. */
export const NORMAL_95 = 1.96;

type Located = Pick<AxisMode, "frequencyHz" | "dampingRatio" | "sdHz">;

/** Whether two modes are close enough to be one: within max(2.5 Hz, 0.8 half-widths, 2 sigma). */
export function closeTogether(a: Located, b: Located): boolean {
  const width = Math.max(a.dampingRatio * a.frequencyHz, b.dampingRatio * b.frequencyHz);
  const sigma = Math.hypot(a.sdHz, b.sdHz);
  return Math.abs(a.frequencyHz - b.frequencyHz) < Math.max(2.5, 0.8 * width, 2 * sigma);
}

function noAxisTwice(a: MergedMode, b: MergedMode): boolean {
  return a.seen.every((m) => b.seen.every((o) => o.axis !== m.axis));
}

function weightedMean(
  values: readonly number[],
  sds: readonly number[],
): { mean: number; sd: number; spread: number } {
  const weights = sds.map((s) => 1 / Math.max(s, 1e-9) ** 2);
  const total = weights.reduce((s, w) => s + w, 0);
  const mean = values.reduce((s, v, i) => s + v * weights[i]!, 0) / total;
  const spread = Math.sqrt(values.reduce((s, v, i) => s + weights[i]! * (v - mean) ** 2, 0) / total);
  return { mean, sd: 1 / Math.sqrt(total), spread };
}

function combine(seen: readonly AxisMode[]): MergedMode {
  const f = weightedMean(
    seen.map((m) => m.frequencyHz),
    seen.map((m) => m.sdHz),
  );
  const z = weightedMean(
    seen.map((m) => Math.log(m.dampingRatio)),
    seen.map((m) => m.sdLogDamping),
  );
  const root = Math.sqrt(seen.length);
  const dampingRatio = Math.exp(z.mean);
  const sd = INFLATION * Math.max(f.sd, f.spread / root);
  return {
    seen: [...seen].sort((a, b) => b.prominenceDb - a.prominenceDb),
    frequencyHz: f.mean,
    sdHz: Math.hypot(sd, LEAST_SHARE_OF_HALF_WIDTH * dampingRatio * f.mean),
    dampingRatio,
    sdLogDamping: INFLATION * Math.max(z.sd, z.spread / root),
    drift: null,
    measuredDrift: null,
  };
}

/** The two groups nearest to each other that are one mode, or null. */
function nearestPair(groups: readonly MergedMode[]): [MergedMode, MergedMode] | null {
  let best: [MergedMode, MergedMode] | null = null;
  let least = Number.POSITIVE_INFINITY;
  groups.forEach((a, i) => {
    for (const b of groups.slice(i + 1)) {
      const apart = Math.abs(a.frequencyHz - b.frequencyHz);
      if (apart >= least || !closeTogether(a, b) || !noAxisTwice(a, b)) continue;
      least = apart;
      best = [a, b];
    }
  });
  return best;
}

/**
 * Joins the modes of the axes where they are the same: closer than max(2.5 Hz, 0.8 half-widths, 2 sigma), the nearest
 * first. Frequency and ln damping are inverse-variance means; the deviation never falls under the scatter between axes.
 *
 * @returns by rising frequency
 * @see method note, measured on simulated flights
 */
export function mergeAxes(modes: readonly AxisMode[]): MergedMode[] {
  let groups = modes.map((mode) => combine([mode]));
  for (let pair = nearestPair(groups); pair !== null; pair = nearestPair(groups)) {
    const [a, b] = pair;
    groups = [...groups.filter((g) => g !== a && g !== b), combine([...a.seen, ...b.seen])];
  }
  return groups.sort((a, b) => a.frequencyHz - b.frequencyHz);
}

/** 95 % interval of the frequency, Hz. */
export function frequencyInterval(mode: MergedMode): Interval {
  return [mode.frequencyHz - NORMAL_95 * mode.sdHz, mode.frequencyHz + NORMAL_95 * mode.sdHz];
}

/** 95 % interval of the damping ratio, log-normal. */
export function dampingInterval(mode: MergedMode): Interval {
  const factor = Math.exp(NORMAL_95 * mode.sdLogDamping);
  return [mode.dampingRatio / factor, mode.dampingRatio * factor];
}
