import type { RotorEstimate } from "../rotor/rotor.js";
import type { AxisMode } from "./axis-mode.js";
import type { OrderAnswer } from "./excited-by.js";
import { reportedHz } from "./first-look.js";
import type { MergedMode } from "./merge.js";
import { movingTest } from "./moving.js";
import type { ResolutionBank } from "./resolution-bank.js";

/** What speaks for and against a mode being real, as numbers of order one; 0 where the log cannot tell. */
export interface Evidence {
  /** Share of its height kept in the worst speed class, pooled over axes (1: all), less 1; 0 untold. */
  readonly lost: number;
  /** Excess of height in the best speed class. */
  readonly swollen: number;
  /** Share of speed classes that tell. */
  readonly told: number;
  /** Sharper along constant order (> 0) or along constant frequency (< 0), in standard deviations / 3. */
  readonly moving: number;
  /** ln of the frequency's deviation in half-widths. */
  readonly vague: number;
  /** ln of the window's misfit. */
  readonly misfit: number;
  readonly moreAxes: number;
  /** Prominence over 10 dB. */
  readonly prominence: number;
  /** ln of the squares it explains, all axes, over 100. */
  readonly drop: number;
  /** ln of the free frames over 30. */
  readonly frames: number;
  /** 1 where the rotors' speed is inferred; where nothing is known of it; where it hardly varies. */
  readonly inferred: number;
  readonly unknown: number;
  readonly steady: number;
  /** 1 where a rotor line swells as it passes, −1 where every line that passes stays flat; 0 untold. */
  readonly witness: number;
}

export const EVIDENCE_NAMES = [
  "lost",
  "swollen",
  "told",
  "moving",
  "vague",
  "misfit",
  "moreAxes",
  "prominence",
  "drop",
  "frames",
  "inferred",
  "unknown",
  "steady",
  "witness",
] as const satisfies readonly (keyof Evidence)[];

function clip(x: number, low: number, high: number): number {
  return Math.min(high, Math.max(low, x));
}

/** Inverse-variance mean of values whose deviation is never taken below a least one. */
function pool(
  values: readonly { value: number; sd: number }[],
  leastSd: number,
): { value: number; sd: number } | null {
  let weight = 0;
  let sum = 0;
  for (const v of values) {
    if (!Number.isFinite(v.value + v.sd)) continue;
    const w = 1 / Math.hypot(v.sd, leastSd) ** 2;
    weight += w;
    sum += w * v.value;
  }
  return weight > 0 ? { value: sum / weight, sd: 1 / Math.sqrt(weight) } : null;
}

/** Kept height of each speed class, pooled over the axes. */
function keptByClass(seen: readonly AxisMode[]): number[] {
  return [0, 1, 2].flatMap((c) => {
    const told = seen.flatMap((m) => {
      const kept = m.persistence.classes[c];
      return kept ? [{ value: kept.kept, sd: kept.sd }] : [];
    });
    const pooled = pool(told, 0.1);
    return pooled === null ? [] : [pooled.value];
  });
}

/** What else is known when a mode is judged. */
export interface EvidenceContext {
  readonly rotor: RotorEstimate;
  /** Below this nothing that turns leaves a line, Hz. */
  readonly lineFreeHz: number;
  readonly answers: readonly OrderAnswer[];
}

/** What the orders that pass a mode say of it. */
function witness(answers: readonly OrderAnswer[]): number {
  if (answers.some((a) => a.swells === true)) return 1;
  return answers.length > 0 && answers.every((a) => a.swells === false) ? -1 : 0;
}

/** Gathers the evidence for one merged mode. */
export function evidenceFor(
  mode: MergedMode,
  bank: ResolutionBank,
  { rotor, lineFreeHz, answers }: EvidenceContext,
): Evidence {
  const best = mode.seen[0]!;
  const lineFree = mode.frequencyHz < lineFreeHz;
  const kept = lineFree ? [] : keptByClass(mode.seen);
  const tests = lineFree ? [] : mode.seen.flatMap((m) => movingTest(bank, m, reportedHz(rotor)) ?? []);
  const moving = pool(
    tests.map((t) => ({ value: t.gain, sd: t.sd })),
    0.25,
  );
  return {
    lost: kept.length > 0 ? clip(Math.min(...kept), -0.5, 1) - 1 : 0,
    swollen: kept.length > 0 ? clip(Math.max(...kept) - 1, 0, 1) : 0,
    told: lineFree ? 1 : kept.length / 3,
    moving: moving === null ? 0 : clip(moving.value / moving.sd / 3, -2, 2),
    vague: Math.log(clip(mode.sdHz / (mode.dampingRatio * mode.frequencyHz), 0.05, 2)),
    misfit: Math.log(clip(best.misfit, 1, 20)),
    moreAxes: mode.seen.length - 1,
    prominence: clip(best.prominenceDb, 0, 30) / 10,
    drop: Math.log(mode.seen.reduce((s, m) => s + Math.max(m.drop, 1), 0) / 100),
    frames: Math.log(clip(best.frames, 3, 300) / 30),
    inferred: rotor.source === "inferred" ? 1 : 0,
    unknown: rotor.source === "none" ? 1 : 0,
    steady: bank.base.classes === null ? 1 : 0,
    witness: witness(answers),
  };
}

/** Weights of the logistic law, in the order of the names, the constant last; fitted to simulated flights. */
const WEIGHTS: Readonly<Record<keyof Evidence, number>> & { readonly constant: number } = {
  lost: 4.32,
  swollen: -1.5,
  told: 3.38,
  moving: -1.07,
  vague: -0.68,
  misfit: -2.3,
  moreAxes: -0.68,
  prominence: 2.56,
  drop: 0.27,
  frames: -0.03,
  inferred: -0.48,
  unknown: -0.62,
  steady: 0.15,
  // of 331 true and 53 false peaks that lines passed, 241 and 1 swelled, 1 and 8 stayed flat: ±3.6, drawn in a little
  witness: 3,
  constant: -3.02,
};

/**
 * Confidence of a mode: the share of modes given this number that are real, in simulation. A logistic law of the
 * evidence, fitted to invented flights of both halves of the accuracy run (other seeds than those it is measured on).
 *
 * @see D. R. Cox, J. R. Stat. Soc. B 20, 1958 (logistic regression)
 */
export function confidenceOf(evidence: Evidence): number {
  const z = EVIDENCE_NAMES.reduce((sum, name) => sum + WEIGHTS[name] * evidence[name], WEIGHTS.constant);
  return clip(1 / (1 + Math.exp(-z)), 0.001, 0.999);
}
