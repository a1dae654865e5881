import { median } from "../stats/median.js";
import { quantile } from "../stats/quantile.js";
import type { Span } from "../timeline/timeline.js";
import type { Hertz, Seconds } from "../units.js";
import { refreshRows } from "./refresh.js";

/** Longest stretch without a fresh reading that is bridged by a straight line, s. */
const LONGEST_BRIDGE: Seconds = 0.35;
/** A reading this far from the median of its neighbours is wild, as a share of it and in robust deviations. */
const WILD_SHARE = 0.18;
const WILD_DEVIATIONS = 6;
const NEIGHBOURS = 3;
/** A change after a long hold that is larger than this was hidden by the hold, as a share. */
const JUMP = 0.01;

/** One motor's speed made continuous, and what was thrown out on the way. */
export interface CleanSpeed {
  /** Hz as read; NaN where no reading can be trusted. */
  readonly hz: Float32Array;
  /** Time between fresh readings, s. */
  readonly refreshS: Seconds;
  /** Seconds in the air with zero, absent or frozen readings. */
  readonly lostS: Seconds;
  /** Wild readings thrown out. */
  readonly spikes: number;
}

/** Fresh readings: sample index and value. */
interface Knots {
  readonly at: Int32Array;
  readonly hz: Float64Array;
}

/**
 * Cleans a speed report: zeros and absent values are dropped, held values are read once, frozen stretches are told
 * from a slow refresh by their length, wild values are thrown out (Hampel's rule: F. R. Hampel, J. Am. Stat. Assoc.
 * 69, 1974), and between fresh readings the speed runs straight, so that its integral, the phase, has no corners.
 *
 * @param raw one value per sample, Hz as read, NaN or 0 where nothing was reported
 * @param sampleRate samples a second
 * @param airborne parts that count; outside them the result is bridged but not judged
 */
export function cleanSpeed(raw: Float32Array, sampleRate: Hertz, airborne: readonly Span[]): CleanSpeed {
  const fresh = freshReadings(raw);
  if (fresh.at.length < 2) return steadyOrNothing(raw, fresh, sampleRate);
  const { kept, spikes } = withoutSpikes(fresh);
  const step = roundingStep(kept);
  const every = refreshRows(kept.at, kept.hz, step);
  const frozen = Math.max(12 * every, 0.15 * sampleRate);
  const bridging = { every, frozen, step, longest: LONGEST_BRIDGE * sampleRate };
  const hz = straightLines(raw, betweenSteps(kept, { every, step }), bridging);
  let lost = 0;
  for (const span of airborne) for (let i = span.from; i < span.to; i++) if (Number.isNaN(hz[i])) lost++;
  return { hz, refreshS: every / sampleRate, lostS: lost / sampleRate, spikes };
}

/** Samples where a new, positive value appears. */
function freshReadings(raw: Float32Array): Knots {
  const places = new Int32Array(raw.length);
  let count = 0;
  let last = Number.NaN;
  for (let i = 0; i < raw.length; i++) {
    const v = raw[i]!;
    if (v !== last && v > 0) places[count++] = i;
    last = v;
  }
  const at = places.slice(0, count);
  const hz = new Float64Array(count);
  for (let n = 0; n < count; n++) hz[n] = raw[at[n]!]!;
  return { at, hz };
}

/** A report that never changes is kept when it covers the log; it may be a steady bench run. */
function steadyOrNothing(raw: Float32Array, fresh: Knots, sampleRate: Hertz): CleanSpeed {
  const value = fresh.hz[0] ?? Number.NaN;
  const covered = raw.reduce((sum, v) => sum + (v === value ? 1 : 0), 0);
  const hz = new Float32Array(raw.length).fill(covered > 0.9 * raw.length ? value : Number.NaN);
  return { hz, refreshS: raw.length / sampleRate, lostS: 0, spikes: 0 };
}

/**
 * A report is rounded. When it moves by one step after standing for L refreshes, the speed was half a step short of
 * the new value a moment ago: reading the new value there would make the report look early. Moves by more than one
 * step are left as they are.
 */
function betweenSteps({ at, hz }: Knots, { every, step }: { every: number; step: number }): Knots {
  const out = hz.slice();
  for (let i = 1; i < hz.length; i++) {
    const move = hz[i]! - hz[i - 1]!;
    if (Math.abs(move) > step) continue;
    const refreshes = Math.max(1, (at[i]! - at[i - 1]!) / every);
    out[i] = hz[i - 1]! + move * (0.5 + 0.5 / refreshes);
  }
  return { at, hz: out };
}

/** Smallest usual change of the report (a little more, for single precision), Hz. */
function roundingStep({ hz }: Knots): number {
  const stride = Math.max(1, Math.floor(hz.length / 5000));
  const moves: number[] = [];
  for (let i = 1; i < hz.length; i += stride) moves.push(Math.abs(hz[i]! - hz[i - 1]!));
  return 1.05 * quantile(moves, 0.05);
}

function withoutSpikes({ at, hz }: Knots): { kept: Knots; spikes: number } {
  const keep = new Uint8Array(at.length).fill(1);
  let spikes = 0;
  const near = new Float64Array(2 * NEIGHBOURS);
  for (let i = 0; i < at.length; i++) {
    // Cheap test first: only a reading that leaves its neighbours is looked at closely.
    const before = hz[Math.max(0, i - 1)]!;
    const after = hz[Math.min(at.length - 1, i + 1)]!;
    const v = hz[i]!;
    if (Math.abs(v - before) <= WILD_SHARE * before && Math.abs(v - after) <= WILD_SHARE * after) continue;
    if (isWild(v, neighboursOf(hz, i, near))) {
      keep[i] = 0;
      spikes++;
    }
  }
  if (spikes === 0) return { kept: { at, hz }, spikes };
  return {
    kept: { at: at.filter((_, i) => keep[i] === 1), hz: hz.filter((_, i) => keep[i] === 1) },
    spikes,
  };
}

function neighboursOf(hz: Float64Array, i: number, into: Float64Array): Float64Array {
  let count = 0;
  for (let j = i - NEIGHBOURS; j <= i + NEIGHBOURS; j++) {
    if (j !== i && j >= 0 && j < hz.length) into[count++] = hz[j]!;
  }
  return into.subarray(0, count);
}

function isWild(v: number, neighbours: Float64Array): boolean {
  const middle = median(neighbours);
  const deviation = 1.4826 * median(neighbours.map((n) => Math.abs(n - middle)));
  return Math.abs(v - middle) > Math.max(WILD_SHARE * middle, WILD_DEVIATIONS * deviation);
}

interface Bridging {
  readonly every: number;
  /** A value held longer than this is frozen, samples. */
  readonly frozen: number;
  readonly longest: number;
  /** Rounding step of the report, Hz. */
  readonly step: number;
}

function straightLines(raw: Float32Array, { at, hz }: Knots, bridging: Bridging): Float32Array {
  const out = new Float32Array(raw.length).fill(Number.NaN);
  const last = at.length - 1;
  out.fill(hz[0]!, Math.max(0, at[0]! - bridging.longest), at[0]!);
  for (let i = 0; i < last; i++)
    bridge(out, raw, { a: at[i]!, b: at[i + 1]!, from: hz[i]!, to: hz[i + 1]! }, bridging);
  out.fill(hz[last]!, at[last]!, Math.min(out.length, at[last]! + bridging.longest));
  return out;
}

interface Stretch {
  readonly a: number;
  readonly b: number;
  readonly from: number;
  readonly to: number;
}

/**
 * Fills one stretch between fresh readings. A value held for a few refreshes was truly steady until one refresh
 * before it changed; held longer than `frozen` and followed by a jump, it cannot be trusted beyond its first refresh.
 */
function bridge(
  out: Float32Array,
  raw: Float32Array,
  s: Stretch,
  { every, frozen, longest, step }: Bridging,
): void {
  let { a } = s;
  const length = s.b - a;
  // A report in coarse steps holds still while the speed creeps: its next step is no jump.
  const jumped = Math.abs(s.to - s.from) > Math.max(JUMP * s.from, 1.5 * step);
  if (length > frozen && (jumped || raw[a + 1] !== raw[a])) {
    if (length > longest) {
      out.fill(s.from, a, a + Math.ceil(every));
      out[s.b] = s.to;
      return;
    }
  } else if (
    length > 1.5 * every &&
    Math.abs(raw[s.b]! - raw[a]!) > step &&
    raw[a + (length >> 1)] === raw[a]
  ) {
    out.fill(s.from, a, Math.ceil(s.b - every));
    a = Math.max(a, Math.ceil(s.b - every));
  }
  const slope = (s.to - s.from) / (s.b - a);
  for (let i = a; i < s.b; i++) out[i] = s.from + slope * (i - a);
}
