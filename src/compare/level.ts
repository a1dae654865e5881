import { fCdf } from "../stats/f-cdf.js";
import { varianceRatioLimits } from "../stats/variance-ratio.js";
import type { Decibel, Interval } from "../units.js";

/** A mean power with its equivalent degrees of freedom. */
export interface Level {
  readonly mean: number;
  readonly dof: number;
}

/** How one level stands to another. */
export interface LevelRatio {
  /** 10 lg(after / before). */
  readonly ratioDb: Decibel;
  readonly ci95Db: Interval;
  /** Two-sided probability of a ratio at least as far from 1 when nothing changed. */
  readonly pValue: number;
}

const DB = 10 / Math.LN10;

/**
 * Weighted sum of independent levels. The degrees of freedom are Satterthwaite's: ν = (Σ w m)² / Σ (w m)² / ν.
 *
 * @see F. E. Satterthwaite, Biometrics Bulletin 2, 1946
 * @example sumOfLevels([{ mean: 1, dof: 10 }, { mean: 1, dof: 10 }], [1, 1]) // { mean: 2, dof: 20 }
 */
export function sumOfLevels(levels: readonly Level[], weights: readonly number[]): Level {
  let mean = 0;
  let square = 0;
  levels.forEach((level, i) => {
    const part = weights[i]! * level.mean;
    mean += part;
    square += part ** 2 / level.dof;
  });
  return { mean, dof: mean ** 2 / square };
}

/**
 * Scatter between flights as fewer degrees of freedom: a level of ν degrees has the variance 2/ν in its natural
 * logarithm, so another source of standard deviation s dB makes it ν' = 1 / (1/ν + s²/2) with s in nepers of power.
 *
 * @param scatterDb standard deviation from flight to flight of one unchanged craft, dB
 * @example withScatter({ mean: 1, dof: 1e9 }, 0.5).dof // 150.9
 */
export function withScatter({ mean, dof }: Level, scatterDb: number): Level {
  return { mean, dof: 1 / (1 / dof + (scatterDb / DB) ** 2 / 2) };
}

/**
 * Ratio of two independent levels with its 95 % interval and p-value from Fisher's F, α/2 in either tail.
 *
 * @see NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.9
 * @example levelRatio({ mean: 1, dof: 6 }, { mean: 1, dof: 15 }).ratioDb // 0
 */
export function levelRatio(before: Level, after: Level): LevelRatio {
  const ratio = after.mean / before.mean;
  const [low, high] = varianceRatioLimits(after.dof, before.dof);
  const below = fCdf(ratio, after.dof, before.dof);
  return {
    ratioDb: DB * Math.log(ratio),
    ci95Db: [DB * Math.log(ratio / high), DB * Math.log(ratio / low)],
    pValue: Math.min(1, 2 * Math.min(below, 1 - below)),
  };
}
