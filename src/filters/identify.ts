import { median } from "../stats/median.js";
import type { Hertz } from "../units.js";
import { type FilterStep, sectionsOf } from "./chain.js";
import { foldedResponse, type Path } from "./folded-response.js";
import type { Complex } from "./response.js";
import type { Section } from "./section.js";
import { type TransferPoint, type TransferSums, transferPoint } from "./transfer.js";

/** A plain filter that behaves as a measured path does. */
export interface IdentifiedPath {
  /** No step, or one low-pass. */
  readonly steps: readonly FilterStep[];
  /** Gain besides the filter: 1 for a gyro path, D-term units per deg/s² (with its sign) for a D-term. */
  readonly gain: number;
  /** Median relative misfit over the coherent bins; 0.1 is as good as most. */
  readonly misfit: number;
  readonly path: Path;
}

export interface IdentifyOptions {
  readonly loopRate: Hertz;
  readonly logRate: Hertz;
  /** Density of the raw gyro that folded down, unit²/Hz. */
  readonly folded: number;
  readonly derivative: boolean;
  /** Filters already known on the path. */
  readonly before: readonly Section[];
}

const LEAST_COHERENCE = 0.6;
const LOWEST_HZ = 4;
/** No plain filter describes a real path better than this; keeps a few perfect bins from ruling. */
const MODEL_ERROR = 0.03;
const MOST_POINTS = 90;
const CORNERS = 36;
const LOWEST_CORNER_HZ = 15;
/** The next family must lower the cost of a point by this much on average to be preferred. */
const WORTH = 0.03;
/** Low-passes to try, the simplest first. */
const FAMILIES = [
  { order: 1, form: "recursion" },
  { order: 1, form: "bilinear" },
  { order: 2, form: "bilinear" },
] as const;

/**
 * Finds the plain low-pass (none, first or second order) whose response fits a measured transfer function best, with
 * what folding does to it taken into account.
 *
 * @returns null when fewer than eight bins are coherent
 */
export function identifyPath(sums: TransferSums, options: IdentifyOptions): IdentifiedPath | null {
  const points = coherentPoints(sums);
  if (points.length < 8) return null;
  const shares = points.map(({ k }) => Math.min(0.95, options.folded / sums.xx[k]!));
  const tryOut = (steps: readonly FilterStep[]): Tried => {
    const own = sectionsOf(steps, { throttle: null, rotorHz: [] }, options.loopRate);
    const path = {
      sections: [...options.before, ...own],
      loopRate: options.loopRate,
      derivative: options.derivative,
    };
    return { steps, path, ...fitGain(points, shares, path, options) };
  };
  let best = tryOut([]);
  for (const plain of FAMILIES) {
    const found = bestCorner((corner) => tryOut([{ kind: "low-pass", ...plain, corner }]), options.loopRate);
    if (found.cost < best.cost - WORTH * points.length) best = found;
  }
  const { steps, path, gain, misfit } = best;
  return { steps, path, gain, misfit };
}

interface Tried {
  readonly steps: readonly FilterStep[];
  readonly path: Path;
  readonly gain: number;
  readonly cost: number;
  readonly misfit: number;
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

function fitGain(
  points: readonly { readonly at: TransferPoint }[],
  shares: readonly number[],
  path: Path,
  options: IdentifyOptions,
): Pick<Tried, "gain" | "cost" | "misfit"> {
  const model = points.map(({ at }, i) =>
    foldedResponse(path, at.hz, { rate: options.logRate, share: shares[i]! }),
  );
  const variance = points.map(({ at }) => (at.re ** 2 + at.im ** 2) * (at.variance + MODEL_ERROR ** 2));
  const off = (gain: number, i: number): number => {
    const { re, im } = points[i]!.at;
    return (re - gain * model[i]!.re) ** 2 + (im - gain * model[i]!.im) ** 2;
  };
  let gain = 1;
  let weight = variance.map((v) => 1 / v);
  for (let round = 0; options.derivative && round < 3; round++) {
    gain = bestGain(points, model, weight);
    weight = variance.map((v, i) => 1 / (v + off(gain, i)));
  }
  const relative = points.map(({ at }, i) => Math.sqrt(off(gain, i) / (at.re ** 2 + at.im ** 2)));
  return {
    gain,
    // Cauchy's loss: a line whose images disagree with the law of white noise counts little
    cost: variance.reduce((sum, v, i) => sum + Math.log1p(off(gain, i) / v), 0),
    misfit: median(relative),
  };
}

function bestGain(
  points: readonly { readonly at: TransferPoint }[],
  model: readonly Complex[],
  weight: readonly number[],
): number {
  let [cross, square] = [0, 0];
  points.forEach(({ at }, i) => {
    const { re, im } = model[i]!;
    cross += weight[i]! * (at.re * re + at.im * im);
    square += weight[i]! * (re * re + im * im);
  });
  return cross / square;
}

/** Corner of least cost: a coarse logarithmic grid, then golden sections about its best point. */
function bestCorner(tryOut: (hz: Hertz) => Tried, loopRate: Hertz): Tried {
  const ratio = Math.log((0.4 * loopRate) / LOWEST_CORNER_HZ);
  const hz = (x: number): Hertz => LOWEST_CORNER_HZ * Math.exp(ratio * x);
  let best = 0;
  let found = tryOut(hz(0));
  for (let i = 1; i < CORNERS; i++) {
    const tried = tryOut(hz(i / (CORNERS - 1)));
    if (tried.cost < found.cost) [best, found] = [i / (CORNERS - 1), tried];
  }
  let [low, high] = [best - 1 / (CORNERS - 1), best + 1 / (CORNERS - 1)];
  const golden = (Math.sqrt(5) - 1) / 2;
  for (let i = 0; i < 14; i++) {
    const [a, b] = [high - golden * (high - low), low + golden * (high - low)];
    const [ta, tb] = [tryOut(hz(Math.min(1, a))), tryOut(hz(Math.min(1, b)))];
    if (ta.cost < tb.cost) [high, found] = [b, ta];
    else [low, found] = [a, tb];
  }
  return found;
}
