import type { Hertz } from "../units.js";
import { levelAlong } from "./along.js";
import { fold } from "./fold.js";
import type { LineMap } from "./line-map.js";
import type { FrameDriver, SpeedModel } from "./speed-model.js";

/** Orders that a hypothesis is judged by. */
export const COMB = 6;
/** A comb whose first order is fainter than this is not followed up, natural log units. */
const FAINTEST_FIRST = 0.04;
/** Thrust in proportion to the command makes the exponent 0.5; load takes a little off. Below this it is not physical. */
const LEAST_EXPONENT = 0.45;

/** A hypothesis about the common rotor speed with the level along each of its orders. */
export interface Hypothesis {
  readonly model: SpeedModel;
  /** Mean level along order 1..COMB, natural log units. */
  readonly levels: readonly number[];
  readonly score: number;
}

export interface SearchOptions {
  readonly fromHz: Hertz;
  readonly toHz: Hertz;
  /** Relative step of the frequency grid. */
  readonly step: number;
  readonly exponents: readonly number[];
  /** Assumed sag of speed over the drain's range during the search. */
  readonly sag: number;
}

/**
 * Scores every curve of a grid of hover speeds and exponents by the mean level along its orders.
 *
 * @returns the best hypothesis per grid frequency, best first, at most `keep`, no two within 2 %
 */
export function searchSpeed(
  map: LineMap,
  at: FrameDriver,
  options: SearchOptions,
  keep: number,
): Hypothesis[] {
  const best = new Map<number, Hypothesis>();
  const count = Math.floor(Math.log(options.toHz / options.fromHz) / Math.log1p(options.step)) + 1;
  const frames = at.drain.length;
  const shape = new Float64Array(frames * at.commands.length);
  const levels = new Float64Array(COMB);
  for (const exponent of options.exponents) {
    at.commands.forEach((command, m) => {
      for (let k = 0; k < frames; k++) {
        shape[m * frames + k] = Math.exp(exponent * command[k]! - options.sag * at.drain[k]!);
      }
    });
    for (let i = 0; i < count; i++) {
      const f0 = options.fromHz * (1 + options.step) ** i;
      combLevels(map, shape, f0, levels);
      const score = plausibility(exponent) * combScore(levels);
      if (score > (best.get(i)?.score ?? Number.NEGATIVE_INFINITY)) {
        const model = { f0, exponent, curvature: 0, sag: options.sag, lagS: at.lagS };
        best.set(i, { model, levels: [...levels], score });
      }
    }
  }
  return distinct([...best.values()], keep);
}

/** Best first, dropping what lies within 2 % of a better one. */
export function distinct(hypotheses: readonly Hypothesis[], keep: number): Hypothesis[] {
  const kept: Hypothesis[] = [];
  for (const h of [...hypotheses].sort((a, b) => b.score - a.score)) {
    if (kept.every((k) => Math.abs(Math.log(k.model.f0 / h.model.f0)) > 0.02)) kept.push(h);
    if (kept.length === keep) break;
  }
  return kept;
}

/** Level along every order of the comb at the nearest bin, for speeds f0 · shape, motor after motor. */
function combLevels(map: LineMap, shape: Float64Array, f0: Hertz, out: Float64Array): void {
  const { bins, sampleRate, segmentLength } = map.grid;
  const perHz = segmentLength / sampleRate;
  const frames = map.grid.starts.length;
  for (let order = 1; order <= COMB; order++) {
    let sum = 0;
    for (let i = 0, k = 0; i < shape.length; i++, k = k + 1 === frames ? 0 : k + 1) {
      const shown = fold(order * f0 * shape[i]!, sampleRate);
      if (shown >= map.lowestHz) sum += map.level[k * bins + Math.round(shown * perHz)]!;
    }
    out[order - 1] = sum / shape.length;
    // Without a first order there is no comb: most of the grid ends here.
    if (order === 1 && out[0]! < FAINTEST_FIRST) {
      out.fill(0);
      return;
    }
  }
}

/**
 * Evidence for a comb: its first order and, at less weight, the higher ones. A comb whose first order is faint beside
 * a higher one is passed over: it is most likely half of the true speed.
 */
export function combScore(levels: ArrayLike<number>): number {
  let higher = 0;
  let highest = 0;
  for (let o = 1; o < levels.length; o++) {
    higher += Math.max(levels[o]!, -0.1);
    highest = Math.max(highest, levels[o]!);
  }
  return levels[0]! > 0.4 * highest ? levels[0]! + 0.35 * higher : Number.NEGATIVE_INFINITY;
}

/** Levels along the orders of a comb, read between bins. */
export function hypothesisOf(map: LineMap, model: SpeedModel, speeds: readonly Float64Array[]): Hypothesis {
  const levels = Array.from({ length: COMB }, (_, o) => meanLevel(map, speeds, o + 1));
  return { model, levels, score: plausibility(model.exponent) * combScore(levels) };
}

/**
 * Weight of a hypothesis by its exponent: in a log that folds, a faster comb with a smaller exponent sweeps the same
 * shown frequencies as the true one, and only physics parts them.
 */
function plausibility(exponent: number): number {
  return Math.min(1, exponent / LEAST_EXPONENT);
}

/** Level along one order, averaged over motors. */
export function meanLevel(map: LineMap, speeds: readonly Float64Array[], order: number): number {
  return speeds.reduce((sum, hz) => sum + levelAlong(map, hz, order), 0) / speeds.length;
}
