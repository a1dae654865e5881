import { AXES, type Axis, type Hertz, type Interval, type PerAxis, perAxis } from "../units.js";
import { type Chain, describeChain } from "./chain.js";
import type { DelayFit } from "./delay-fit.js";
import type { AxisPath } from "./measure.js";
import { inMs } from "./measured-row.js";
import { CLOSE_MISFIT } from "./path-likeness.js";
import { WIDER_THAN_CHANCE } from "./phase-model.js";
import type { Predictor } from "./predictor.js";
import { slowGain } from "./slow-gain.js";
import type { OwnChain } from "./study.js";

/** A gain less sure than this does not give a level that could be held against a limit. */
const SURE = 0.15;
/** Standard deviations by which slow signals must contradict the identified gain for it to be dropped. */
const CONTRADICTED = 3;

/**
 * D-term units per deg/s²: from the plain filter that behaves alike and from slow signals, weighted; from slow signals
 * alone where no filter does or they contradict it; null where the axis has no D-term or neither is sure.
 */
export function gainsOf(paths: readonly AxisPath[]): PerAxis<number | null> {
  return perAxis((axis) => {
    const path = paths.find((p) => p.axis === axis && p.path === "dterm");
    if (path === undefined || path.sums.frames === 0) return null;
    const { like } = path;
    const slow = slowGain(path.sums);
    const close = like !== null && like.misfit < CLOSE_MISFIT && like.gainSd < SURE && like.gain !== 0;
    if (slow === null) return close ? Math.abs(like.gain) : null;
    if (close) {
      const likeSd = WIDER_THAN_CHANCE * like.gainSd;
      const apart = Math.log(Math.abs(like.gain) / slow.gain);
      const [own, other] = [1 / likeSd ** 2, 1 / slow.sd ** 2];
      if (Math.abs(apart) < CONTRADICTED * Math.hypot(slow.sd, likeSd))
        return slow.gain * Math.exp((apart * own) / (own + other));
    }
    return slow.sd < SURE ? slow.gain : null;
  });
}

/** Misfit up to which a plain chain is named as what the flight's own behaves like. */
const NAMED_MISFIT = 0.15;

/** The plain chain that behaves like the flight's own, from the axis that fits best; null when none does. */
export function ownStepsOf(paths: readonly AxisPath[]): Chain | null {
  const likeOf = (path: "gyro" | "dterm", axis: Axis) => {
    const found = paths.find((p) => p.axis === axis && p.path === path);
    return found === undefined || found.doubtS === null ? null : found.like;
  };
  const best = AXES.map((axis) => ({ gyro: likeOf("gyro", axis), dterm: likeOf("dterm", axis) }))
    .filter(({ gyro, dterm }) => gyro !== null && dterm !== null)
    .sort((a, b) => a.gyro!.misfit + a.dterm!.misfit - b.gyro!.misfit - b.dterm!.misfit)[0];
  if (best === undefined || Math.max(best.gyro!.misfit, best.dterm!.misfit) >= NAMED_MISFIT) return null;
  return { gyro: best.gyro!.steps, dterm: best.dterm!.steps };
}

/** The flight's own filtering, from the measured paths. */
export function ownChain(
  paths: readonly AxisPath[],
  { fromHz, ownSteps, predictor }: { fromHz: Hertz; ownSteps: Chain | null; predictor: Predictor },
): OwnChain {
  const gyro = joined(paths, "gyro");
  const dterm = joined(paths, "dterm");
  const rms = (path: "gyro" | "dterm", axis: Axis): number | null => {
    const sums = paths.find((p) => p.path === path && p.axis === axis)?.sums;
    return sums === undefined || sums.frames === 0 ? null : rmsAbove(sums.frequency, sums.yy, fromHz);
  };
  const dtermRms = perAxis((axis) => rms("dterm", axis));
  const logged = Math.max(0, ...AXES.map((axis) => dtermRms[axis] ?? 0));
  return {
    delayMs: dterm?.ms ?? null,
    ci95Ms: dterm?.ci95 ?? null,
    gyroDelayMs: gyro?.ms ?? null,
    gyroCi95Ms: gyro?.ci95 ?? null,
    gyroRms: perAxis((axis) => rms("gyro", axis)),
    dtermRms,
    behavesLike: ownSteps === null ? null : describeChain(ownSteps),
    predictedOverLogged:
      ownSteps === null || logged === 0 ? null : predictor.quick(ownSteps).dtermRms / logged,
  };
}

/** What is left beside chance: window, bend of the phase; measured on simulated flights. */
const SYSTEMATIC_S = 2e-5;
/** The axes' errors are not quite independent: the same lines and the same choice of reach (as above). */
const AXES_ALIKE = 1.25;
/** Still less so where no plain filter is quite alike: what it misses is the same on every axis. */
const DOUBTED_ALIKE = 2;

/** Mean of the axes' delays, weighted by their intervals: filters are the same on all axes unless their corners differ. */
function joined(paths: readonly AxisPath[], path: "gyro" | "dterm"): { ms: number; ci95: Interval } | null {
  const of = paths.filter((p) => p.path === path);
  const alike = of.every((p) => p.doubtS === 0) ? AXES_ALIKE : DOUBTED_ALIKE;
  const fits = of.flatMap(({ fit }): DelayFit[] => (fit === null ? [] : [fit]));
  if (fits.length === 0) return null;
  const half = fits.map(({ ci95S }) => (ci95S[1] - ci95S[0]) / 2);
  const weight = half.map((h) => 1 / h ** 2);
  const total = weight.reduce((sum, w) => sum + w, 0);
  const mean = fits.reduce((sum, fit, i) => sum + fit.delayS * weight[i]!, 0) / total;
  // axes that differ by more than their intervals have different filters: the interval then spans the difference
  const misfit = fits.reduce((sum, fit, i) => sum + (fit.delayS - mean) ** 2 * weight[i]!, 0);
  const chance = (alike * Math.max(1, misfit / Math.max(1, fits.length - 1))) / total;
  const wide = Math.sqrt(chance + SYSTEMATIC_S ** 2);
  return { ms: 1000 * mean, ci95: inMs([mean - wide, mean + wide]) };
}

/** RMS of a density above a frequency. */
function rmsAbove(frequency: Float64Array, density: Float64Array, fromHz: Hertz): number {
  const width = frequency[1]!;
  let meanSquare = 0;
  density.forEach((v, k) => {
    meanSquare += v * Math.min(width, Math.max(0, frequency[k]! + width / 2 - fromHz));
  });
  return Math.sqrt(meanSquare);
}
