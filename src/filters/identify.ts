import { median } from "../stats/median.js";
import type { Hertz } from "../units.js";
import type { FilterStep } from "./chain.js";
import { type Family, type Part, type Place, sectionsAt, stepsOf } from "./family.js";
import type { Path } from "./folded-response.js";
import { type Fitted, fitFamily, type Measured, rough, type Whiteness } from "./plain-model.js";
import { ResponseTable } from "./response-table.js";
import { type TransferPoint, type TransferSums, transferPoint } from "./transfer.js";

/** A plain filter that behaves as a measured path does. */
export interface IdentifiedPath {
  readonly family: Family;
  readonly places: readonly Place[];
  /** No step, a low-pass, a notch, or both. */
  readonly steps: readonly FilterStep[];
  /** Gain besides the filter: 1 for a gyro path, D-term units per deg/s² (with its sign) for a D-term. */
  readonly gain: number;
  /** Standard deviation of the gain over the gain. */
  readonly gainSd: number;
  /** Median relative misfit over the coherent bins; 0.1 is as good as most. */
  readonly misfit: number;
  /** The same beyond chance. */
  readonly excess: number;
  readonly path: Path;
  /** Standard deviation of the path's delay for slow signals, s. */
  readonly delaySdS: number;
  /** How much of what would fold down from a white floor did. */
  readonly whiteness: Whiteness;
}

export interface IdentifyOptions {
  readonly loopRate: Hertz;
  readonly logRate: Hertz;
  /** Density of the raw gyro that folded down if its floor is white up to half the loop rate, unit²/Hz. */
  readonly folded: number;
  readonly derivative: boolean;
  /** What was found of the first part of the path. */
  readonly before: IdentifiedPath | null;
}

const LEAST_COHERENCE = 0.5;
const LOWEST_HZ = 4;
const LEAST_POINTS = 8;
const MOST_POINTS = 70;
/** A white floor is only an assumption: sensors' own low-passes and the wash take from it, tones add to it. */
const UNKNOWN_WHITENESS: Whiteness = { mean: 1, sd: 0.25 };
const CORNERS: readonly Hertz[] = Array.from({ length: 14 }, (_, i) => 18 * 1.37 ** i);
const NOTCHES: readonly Place[] = Array.from({ length: 32 }, (_, i) => ({
  hz: 45 * 1.17 ** (i >> 1),
  q: i % 2 === 0 ? 1.5 : 4,
}));
const LOW_PASSES = ["low-pass 1", "low-pass 2"] as const;
/** A parameter more must lower the cost by this much: Schwarz's criterion, ln n, for some seventy points. */
const WORTH = 5;

/**
 * Finds the plain chain (no low-pass, one of first or second order; with or without a notch) whose response fits a
 * measured transfer function best. What folding does to it is in the model, and how much folded down is fitted too.
 *
 * @returns null when fewer than eight bins are coherent
 * @see G. Schwarz, Ann. Statist. 6(2), 1978 (how many parameters are worth having)
 */
export function identifyPath(sums: TransferSums, options: IdentifyOptions): IdentifiedPath | null {
  const measured = measuredFrom(sums, options);
  return measured === null ? null : identified(bestOf(measured), measured, options.before);
}

/**
 * Fits a part of the flight with the kind of chain that was found for all of it: corners may have moved.
 *
 * @returns null when fewer than eight bins are coherent
 */
export function refitPath(
  sums: TransferSums,
  like: IdentifiedPath,
  options: IdentifyOptions,
): IdentifiedPath | null {
  const measured = measuredFrom(sums, options);
  return measured === null
    ? null
    : identified(fitFamily(measured, like.family, like.places), measured, options.before);
}

function measuredFrom(sums: TransferSums, options: IdentifyOptions): Measured | null {
  const { loopRate, logRate, derivative, before } = options;
  const points = sums.frames === 0 ? [] : coherentPoints(sums);
  if (points.length < LEAST_POINTS) return null;
  return {
    points: points.map(({ at }) => at),
    shares: points.map(({ k }) => Math.min(1, options.folded / sums.xx[k]!)),
    table: new ResponseTable(
      points.map(({ at }) => at.hz),
      { logRate, loopRate },
    ),
    loopRate,
    derivative,
    before: before?.path.sections ?? [],
    whiteness:
      before === null ? UNKNOWN_WHITENESS : { ...before.whiteness, sd: Math.max(0.05, before.whiteness.sd) },
  };
}

function identified(best: Fitted, measured: Measured, before: IdentifiedPath | null): IdentifiedPath {
  const { loopRate, derivative } = measured;
  const own = sectionsAt(best.steps, loopRate);
  return {
    family: best.family,
    places: best.places,
    steps: best.steps,
    gain: best.gain,
    gainSd: best.gainSd,
    misfit: median(best.relative),
    excess: excessOf(best.relative, measured),
    path: { sections: [...measured.before, ...own], loopRate, derivative },
    delaySdS: Math.hypot(best.delaySdS, before?.delaySdS ?? 0),
    whiteness: best.whiteness,
  };
}

/** The simplest of nothing, a low-pass, and a low-pass with a notch that is worth its parameters. */
function bestOf(measured: Measured): Fitted {
  const none = fitFamily(measured, [], []);
  const low = LOW_PASSES.map((part) => withPart(measured, none, part));
  const notched = low.map((fitted) => withPart(measured, fitted, "notch"));
  return [none, ...low, ...notched].reduce((best, fitted) =>
    fitted.cost + WORTH * parameters(fitted.family) < best.cost + WORTH * parameters(best.family)
      ? fitted
      : best,
  );
}

function parameters(family: Family): number {
  return family.reduce((sum, part) => sum + (part === "notch" ? 2 : 1), 0);
}

/** One more part, started where it helps most. */
function withPart(measured: Measured, best: Fitted, part: Part): Fitted {
  const family = [...best.family, part];
  const tries = (part === "notch" ? NOTCHES : CORNERS.map((hz) => ({ hz, q: 1 })))
    .filter(({ hz }) => hz < 0.4 * measured.loopRate)
    .map((place) => {
      const places = [...best.places, place];
      return { places, cost: rough(measured, stepsOf(family, places)).cost };
    });
  return fitFamily(measured, family, tries.reduce((a, b) => (b.cost < a.cost ? b : a)).places);
}

/** Median of χ² with two degrees of freedom over its mean: ln 2. */
const MEDIAN_SHARE = Math.LN2;

/** Relative misfit beyond what chance explains: what no plain filter copies. */
function excessOf(relative: Float64Array, { points }: Measured): number {
  const seen = median(relative.map((r) => r * r)) / MEDIAN_SHARE;
  const chance = median(Float64Array.from(points, (p) => 2 * p.variance));
  return Math.sqrt(Math.max(0, seen - chance));
}

function coherentPoints(sums: TransferSums): { readonly k: number; readonly at: TransferPoint }[] {
  const all: { k: number; at: TransferPoint }[] = [];
  for (let k = 1; k < sums.frequency.length - 2; k++) {
    if (sums.frequency[k]! < LOWEST_HZ) continue;
    const at = transferPoint(sums, k);
    if (at.coherence > LEAST_COHERENCE) all.push({ k, at });
  }
  const step = Math.max(1, all.length / MOST_POINTS);
  return Array.from({ length: Math.min(all.length, MOST_POINTS) }, (_, i) => all[Math.floor(i * step)]!);
}
