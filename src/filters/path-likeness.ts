import type { Axis, Hertz } from "../units.js";
import type { DelayFit } from "./delay-fit.js";
import { foldedTurn } from "./folded-response.js";
import { type IdentifiedPath, type IdentifyOptions, identifyPath, refitPath } from "./identify.js";
import { derivativeSign, missedDelay, pathDelay } from "./path-delay.js";
import { phaseModel } from "./phase-model.js";
import { pooled, type TransferSums } from "./transfer.js";
import { foldedShareOfWhite, whiteFloor } from "./white-floor.js";

/** Cross-spectra of one path of one axis, per throttle level. */
export interface PathSums {
  readonly path: "gyro" | "dterm";
  readonly axis: Axis;
  readonly perLevel: readonly TransferSums[];
}

/** A path with the plain filters that behave as it does. */
export interface LikePath extends PathSums {
  /** All levels together. */
  readonly sums: TransferSums;
  /** −1 when the log writes the D-term with the opposite sign. */
  readonly sign: 1 | -1;
  readonly like: IdentifiedPath | null;
  /** The same kind of chain fitted to each level. */
  readonly rowLikes: readonly (IdentifiedPath | null)[];
  readonly logRate: Hertz;
  /** Density of the raw gyro that folds down from a white floor, in a part of the flight. */
  folded(part: TransferSums): number;
}

/** Misfit up to which a plain filter may stand for the path. */
export const CLOSE_MISFIT = 0.3;
/** Share of the correction for folded noise that is doubted when a plain filter explains the path; all of it else. */
const TRUSTED_DOUBT = 0.5;

const close = (like: IdentifiedPath | null): like is IdentifiedPath =>
  like !== null && like.misfit < CLOSE_MISFIT;

/**
 * Finds the plain filters that behave as a path does.
 *
 * @param before the path to the filtered gyro of the same axis, for a D-term
 */
export function likePath(
  { path, axis, perLevel }: PathSums,
  before: LikePath | null,
  { logRate, loopRate }: { readonly logRate: Hertz; readonly loopRate: Hertz },
): LikePath {
  const derivative = path === "dterm";
  const sums = pooled(perLevel);
  const share = foldedShareOfWhite(logRate, loopRate);
  const folded = (part: TransferSums): number => share * whiteFloor(part.xx, part.frames);
  const optionsOf = (part: TransferSums, known: IdentifiedPath | null): IdentifyOptions => {
    return { loopRate, logRate, folded: folded(part), derivative, before: close(known) ? known : null };
  };
  const earlier = derivative ? before : null;
  const like = sums.frames === 0 ? null : identifyPath(sums, optionsOf(sums, earlier?.like ?? null));
  const rowLikes = perLevel.map((part, l) =>
    close(like) ? refitPath(part, like, optionsOf(part, earlier?.rowLikes[l] ?? null)) : null,
  );
  const sign = derivative && sums.frames > 0 ? (derivativeSign(sums) ?? 1) : 1;
  return { path, axis, perLevel, sums, sign, like, rowLikes, logRate, folded };
}

/** Delay of a part of the flight, with the help of a plain filter where one behaves alike. */
export function fitWith(
  path: LikePath,
  at: { readonly part: TransferSums; readonly alike: IdentifiedPath | null; readonly doubtS: number | null },
): DelayFit | null {
  const { part, alike } = at;
  if (part.frames === 0) return null;
  const kind = kindOf(path, part, alike);
  if (at.doubtS === null || !close(alike)) return pathDelay(part, kind);
  return pathDelay(part, { ...kind, model: phaseModel(alike), doubtS: at.doubtS });
}

function kindOf(path: LikePath, part: TransferSums, alike: IdentifiedPath | null) {
  const model = alike ?? path.like;
  const log = { rate: path.logRate, folded: path.folded(part) };
  return {
    derivative: path.path === "dterm",
    sign: path.sign,
    turned:
      model === null ? null : (hz: Hertz, input: number) => foldedTurn(model.path, hz, { ...log, input }),
    doubt: close(path.like) ? TRUSTED_DOUBT : 1,
  };
}

/** Standard deviations by which the phase alone must contradict the plain filters for them to be left out. */
const CONTRADICTED = 2.5;

/**
 * How far the plain filters' delays are to be doubted, seconds: what the phase alone says they miss, over all axes
 * together, weighted by how sure each is; nothing within one standard deviation of that mean.
 *
 * @returns null when it is more than chance explains: the plain filters are then of no help
 */
export function doubtS(paths: readonly LikePath[]): number | null {
  let [sum, weights] = [0, 0];
  for (const path of paths) {
    if (!close(path.like)) continue;
    const missed = missedDelay(path.sums, kindOf(path, path.sums, path.like), phaseModel(path.like));
    if (missed === null) continue;
    sum += missed.delayS / missed.sdS ** 2;
    weights += 1 / missed.sdS ** 2;
  }
  if (weights === 0) return null;
  const [mean, variance] = [sum / weights, 1 / weights];
  if (mean ** 2 > CONTRADICTED ** 2 * variance) return null;
  return mean ** 2 > variance ? Math.abs(mean) : 0;
}
