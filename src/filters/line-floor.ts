import type { LineCluster } from "./line-plan.js";

/** One frame of one axis: its PSD, and the bins that turning lines fill. */
export interface LinedFrame {
  /** unit²/Hz per bin; not changed. */
  readonly power: Float32Array;
  readonly clusters: readonly LineCluster[];
}

/** What stays when the lines are taken out of the frames of one throttle level. */
export interface SplitLevel {
  /** Mean over the frames, the lines' bins filled by what the floor is there, unit²/Hz. */
  readonly floor: Float64Array;
  /** Per frame and cluster: power above that floor, sum over the cluster's bins, unit²/Hz · bins; may be negative. */
  readonly excess: readonly (readonly number[])[];
  /** Mean over the frames of the power above the floor in clusters that show where they truly are, unit²/Hz per bin. */
  readonly shown: Float64Array;
}

/** Whether a cluster shows where it truly is: no line in it lies above Nyquist in this log. */
export function showsTrue({ lines }: LineCluster, nyquist: number): boolean {
  return lines.every((line) => line.highestHz < nyquist);
}

/** Rounds in which the floor's shape and the frames' levels are found in turn. */
const ROUNDS = 2;
/** Free bins on either side of a cluster from which a frame's level there is read. */
const SIDE = 24;
const LEAST_SIDE = 8;
/** Bins on either side of a hole in the shape that carry it over. */
const BRIDGE = 10;

/**
 * Takes the lines out of the frames of one level.
 *
 * The floor's shape comes from the frames in which a bin is free of lines; each frame scales it to its own level
 * beside the cluster, since wash grows with speed. Bins that are never free are bridged by a straight line on
 * logarithmic axes. Both the floor and the excess are free of bias as averages over frames.
 *
 * @param frames of one level and axis
 * @param lowest first bin above steering; below it the shape is not used
 * @param nyquist of the log, Hz
 */
export function splitLevel(frames: readonly LinedFrame[], lowest: number, nyquist: number): SplitLevel {
  const bins = frames[0]?.power.length ?? 0;
  const masks = frames.map(({ clusters }) => maskOf(clusters, bins));
  const shape = floorShape(frames, masks, lowest);
  const floor = new Float64Array(bins);
  const shown = new Float64Array(bins);
  const excess = frames.map(({ power, clusters }, f) => {
    const mask = masks[f]!;
    for (let k = 0; k < bins; k++) if (mask[k] === 0) floor[k] = floor[k]! + power[k]!;
    return clusters.map((cluster) => {
      const { from, to } = cluster;
      const shows = showsTrue(cluster, nyquist);
      const scale = levelBeside(power, mask, { shape, from, to, lowest });
      let above = 0;
      for (let k = from; k <= to; k++) {
        floor[k] = floor[k]! + scale * shape[k]!;
        const over = power[k]! - scale * shape[k]!;
        above += over;
        if (shows) shown[k] = shown[k]! + over / frames.length;
      }
      return above;
    });
  });
  for (let k = 0; k < bins; k++) floor[k] = floor[k]! / frames.length;
  return { floor, excess, shown };
}

function maskOf(clusters: readonly LineCluster[], bins: number): Uint8Array {
  const mask = new Uint8Array(bins);
  for (const { from, to } of clusters) mask.fill(1, from, to + 1);
  return mask;
}

/** Mean over free frames, each divided by its level; levels and shape in turn. */
function floorShape(
  frames: readonly LinedFrame[],
  masks: readonly Uint8Array[],
  lowest: number,
): Float64Array {
  const bins = frames[0]?.power.length ?? 0;
  let level = new Float64Array(frames.length).fill(1);
  let shape = new Float64Array(bins);
  for (let round = 0; round <= ROUNDS; round++) {
    shape = new Float64Array(bins);
    const count = new Float64Array(bins);
    frames.forEach(({ power }, f) => {
      const mask = masks[f]!;
      for (let k = 0; k < bins; k++) {
        if (mask[k] === 1) continue;
        shape[k] = shape[k]! + power[k]! / level[f]!;
        count[k] = count[k]! + 1;
      }
    });
    for (let k = 0; k < bins; k++) shape[k] = count[k]! > 0 ? shape[k]! / count[k]! : Number.NaN;
    bridge(shape, lowest);
    if (round < ROUNDS) {
      const known = shape;
      level = Float64Array.from(
        frames,
        ({ power }, f) => meanRatio(power, known, { mask: masks[f]!, from: lowest, to: bins - 1 }) ?? 1,
      );
    }
  }
  return shape;
}

/** Mean of power over shape in free bins; null when there are too few. */
function meanRatio(
  power: Float32Array,
  shape: Float64Array,
  { mask, from, to }: { readonly mask: Uint8Array; readonly from: number; readonly to: number },
): number | null {
  let [sum, count] = [0, 0];
  for (let k = from; k <= to; k++) {
    if (mask[k] === 1 || !(shape[k]! > 0)) continue;
    sum += power[k]! / shape[k]!;
    count++;
  }
  return count < LEAST_SIDE ? null : sum / count;
}

/** A frame's level over the shape beside a cluster: from the nearest free bins on both sides, else from all. */
function levelBeside(
  power: Float32Array,
  mask: Uint8Array,
  at: { readonly shape: Float64Array; readonly from: number; readonly to: number; readonly lowest: number },
): number {
  let [sum, count] = [0, 0];
  const add = (k: number): void => {
    sum += power[k]! / at.shape[k]!;
    count++;
  };
  for (let k = at.from - 1, left = SIDE; k >= at.lowest && left > 0; k--) {
    if (mask[k] === 0 && at.shape[k]! > 0) {
      add(k);
      left--;
    }
  }
  for (let k = at.to + 1, left = SIDE; k < power.length - 1 && left > 0; k++) {
    if (mask[k] === 0 && at.shape[k]! > 0) {
      add(k);
      left--;
    }
  }
  if (count >= LEAST_SIDE) return sum / count;
  return meanRatio(power, at.shape, { mask, from: at.lowest, to: power.length - 1 }) ?? 1;
}

/** Fills holes in the shape from the bins beside them, straight on logarithmic axes. */
function bridge(shape: Float64Array, lowest: number): void {
  let k = lowest;
  while (k < shape.length) {
    if (!Number.isNaN(shape[k]!)) {
      k++;
      continue;
    }
    let end = k;
    while (end < shape.length && Number.isNaN(shape[end]!)) end++;
    const below = logMean(shape, Math.max(lowest, k - BRIDGE), k);
    const above = logMean(shape, end, Math.min(shape.length, end + BRIDGE));
    const left = below ?? above ?? { x: 0, y: Number.NEGATIVE_INFINITY };
    const right = above ?? left;
    for (let j = k; j < end; j++) {
      const t = right.x === left.x ? 0 : (Math.log(j) - left.x) / (right.x - left.x);
      shape[j] = Math.exp(left.y + (right.y - left.y) * t);
    }
    k = end;
  }
}

/** Log of the mean density, and mean log of the bin, over some bins; null when there are none. */
function logMean(shape: Float64Array, from: number, end: number): { x: number; y: number } | null {
  let [sum, place, count] = [0, 0, 0];
  for (let k = Math.max(1, from); k < end; k++) {
    if (Number.isNaN(shape[k]!)) continue;
    sum += shape[k]!;
    place += Math.log(k);
    count++;
  }
  return count === 0 || sum <= 0 ? null : { x: place / count, y: Math.log(sum / count) };
}
