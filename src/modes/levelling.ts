import { medianInPlace } from "../stats/median.js";
import type { Plane } from "./plane.js";

/**
 * How strongly each frame was shaken, and how far each bin follows it.
 * A levelled cell is `power · exp(−follow · excitation)`.
 */
export interface Levelling {
  /** ln, per frame, median 0. */
  readonly excitation: Float64Array;
  /** Per axis (in the plane's order) and bin: 1 where the bin follows the wash, 0 where sensor noise rules. */
  readonly follow: readonly Float64Array[];
}

const BANDS = 28;
const MOST_PASSES = 8;
const SLOPE_PASS = 3;
const SLOPE_ROUNDS = 2;
/** ln by which the excitation may still move when the passes end. */
const SETTLED = 0.02;
const MOST_FOLLOW = 1.3;
/** π²/6 (variance of ln of an exponential variable) over 0.3². */
const PRIOR_WEIGHT = 18;
/** Below this spread of the excitation (ln) there is nothing to regress on. */
const LEAST_SPREAD = 0.08;
/** Bins that follow less than this say nothing of the excitation. */
const FOLLOWER = 0.5;
/** Powers below this are taken as this: ln of zero is no level. */
const TINY = 1e-30;

/** ln power of every axis. */
export function logPlane(plane: Plane): Float32Array[] {
  return plane.axes.map(({ power }) => {
    const out = new Float32Array(power.length);
    for (let i = 0; i < power.length; i++) out[i] = Math.log(power[i]! + TINY);
    return out;
  });
}

/** Mean over free frames of ln power less the levelling, per bin; NaN where no frame is free. */
function baseLevel(
  log: Float32Array,
  plane: Plane,
  excitation: Float64Array,
  follow: Float64Array,
): Float64Array {
  const { bins, starts } = plane.grid;
  const sum = new Float64Array(bins);
  const count = new Float64Array(bins);
  for (let k = 0, cell = 0; k < starts.length; k++) {
    const e = excitation[k]!;
    for (let b = 0; b < bins; b++, cell++) {
      if (plane.mask[cell] !== 0) continue;
      sum[b]! += log[cell]! - follow[b]! * e;
      count[b]! += 1;
    }
  }
  return sum.map((s, b) => s / count[b]!);
}

/** Adds one axis' excess over its base to the frames' sums, from bins that follow. */
function addExcess(
  log: Float32Array,
  plane: Plane,
  level: { base: Float64Array; follow: Float64Array },
  out: { sum: Float64Array; weight: Float64Array },
): void {
  const { bins, starts } = plane.grid;
  for (let k = 0; k < starts.length; k++) {
    let sum = 0;
    let weight = 0;
    const row = k * bins;
    for (let b = 2; b < bins; b++) {
      const g = level.follow[b]!;
      if (g < FOLLOWER || plane.mask[row + b] !== 0) continue;
      sum += log[row + b]! - level.base[b]!;
      weight += g;
    }
    out.sum[k]! += sum;
    out.weight[k]! += weight;
  }
}

/** First bins of log-spaced bands over 2 … bins. */
function bandEdges(bins: number): number[] {
  const edges: number[] = [];
  for (let i = 0; i <= BANDS; i++) {
    const edge = Math.round(2 * (bins / 2) ** (i / BANDS));
    if (edge > (edges[edges.length - 1] ?? 0)) edges.push(edge);
  }
  return edges;
}

/**
 * Slope of each band's level on the excitation, clipped to 0 … 1.3. Only variation among the band's own free frames
 * counts; where there is little of it the slope stays at 1, what wash alone would give (prior deviation 0.3).
 */
function bandSlopes(log: Float32Array, plane: Plane, base: Float64Array, excitation: Float64Array): number[] {
  const { bins, starts } = plane.grid;
  const edges = bandEdges(bins);
  return edges.slice(0, -1).map((from, i) => {
    const to = edges[i + 1]!;
    let [n, x, y, xx, xy] = [0, 0, 0, 0, 0];
    for (let k = 0; k < starts.length; k++) {
      const e = excitation[k]!;
      const row = k * bins;
      let sum = 0;
      let count = 0;
      for (let b = from; b < to; b++) {
        if (plane.mask[row + b] !== 0) continue;
        sum += log[row + b]! - base[b]!;
        count += 1;
      }
      n += count;
      x += e * count;
      y += sum;
      xx += e * e * count;
      xy += e * sum;
    }
    if (n === 0) return 1;
    const slope = (xy - (x * y) / n + PRIOR_WEIGHT) / (xx - (x * x) / n + PRIOR_WEIGHT);
    return Math.min(MOST_FOLLOW, Math.max(0, slope));
  });
}

/** Median of three along the bands, then linear over the bins between band centres. */
function spreadSlopes(slopes: number[], bins: number): Float64Array {
  const edges = bandEdges(bins);
  const smooth = slopes.map((s, i) => [slopes[i - 1] ?? s, s, slopes[i + 1] ?? s].sort((a, b) => a - b)[1]!);
  const out = new Float64Array(bins);
  let band = 0;
  const centre = (i: number): number => (edges[i]! + edges[i + 1]!) / 2;
  for (let b = 0; b < bins; b++) {
    while (band < smooth.length - 1 && b > centre(band + 1)) band++;
    const next = Math.min(band + 1, smooth.length - 1);
    const share = next === band ? 0 : (b - centre(band)) / (centre(next) - centre(band));
    const t = Math.min(1, Math.max(0, share));
    out[b] = (1 - t) * smooth[band]! + t * smooth[next]!;
  }
  return out;
}

/** Mean excess of every frame over the bases, from bins that follow; median 0. */
function frameExcess(
  plane: Plane,
  logs: readonly Float32Array[],
  bases: readonly Float64Array[],
  follow: readonly Float64Array[],
): Float64Array {
  const frames = plane.grid.starts.length;
  const sum = new Float64Array(frames);
  const weight = new Float64Array(frames);
  for (const [a, log] of logs.entries()) {
    addExcess(log, plane, { base: bases[a]!, follow: follow[a]! }, { sum, weight });
  }
  const excess = sum.map((s, k) => (weight[k]! > 0 ? s / weight[k]! : 0));
  const middle = frames > 0 ? medianInPlace(excess.slice()) : 0;
  return excess.map((e) => e - middle);
}

function spread(values: Float64Array): number {
  let mean = 0;
  for (const v of values) mean += v / values.length;
  let square = 0;
  for (const v of values) square += (v - mean) ** 2 / values.length;
  return Math.sqrt(square);
}

/**
 * Fits ln P(frame, bin) = base(bin) + follow(bin) · excitation(frame) to the free cells by alternating means.
 *
 * Wash power grows steeply with rotor speed, and which frames are free depends on frequency: averaging without
 * levelling would make steps at the mask's edges. Bands ruled by sensor noise do not follow (follow → 0).
 *
 * @param plane frames × bins of every axis, with the mask
 * @param logs ln power, as from `logPlane`
 * @see method note, measured on simulated flights; the additive fit is Tukey's two-way table
 */
export function level(plane: Plane, logs: readonly Float32Array[]): Levelling {
  const { bins, starts } = plane.grid;
  const excitation = new Float64Array(starts.length);
  const follow = logs.map(() => new Float64Array(bins).fill(1));
  let slopesSet = 0;
  for (let pass = 0; pass < MOST_PASSES; pass++) {
    const bases = logs.map((log, a) => baseLevel(log, plane, excitation, follow[a]!));
    const next = frameExcess(plane, logs, bases, follow);
    const moved = next.reduce((most, e, k) => Math.max(most, Math.abs(e - excitation[k]!)), 0);
    excitation.set(next);
    // slopes are read off a settled excitation only: else each would make up for the other's error
    if (moved >= SETTLED && pass !== SLOPE_PASS) continue;
    if (slopesSet === SLOPE_ROUNDS || spread(excitation) <= LEAST_SPREAD) break;
    slopesSet++;
    for (const [a, log] of logs.entries()) {
      follow[a]!.set(spreadSlopes(bandSlopes(log, plane, bases[a]!, excitation), bins));
    }
  }
  return { excitation, follow };
}
