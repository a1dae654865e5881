import type { Hertz } from "../units.js";
import { fold } from "./fold.js";
import type { LineMap } from "./line-map.js";

const RATIO_STEP = 0.005;
const RATIO_RANGE = 0.08;
/** Cost of moving by 1 % between neighbouring frames, and of standing 1 % off the model, natural log units. */
const MOVE_COST = 4;
const OFF_COST = 0.02;

/**
 * Slow residual of the speed model: the path of ratios 1 + r through time with the highest level along the orders
 * (dynamic programming, A. Viterbi, IEEE Trans. Inf. Theory 13, 1967). Where every motor has a track of its own, one
 * ratio holds for all: read along their mean alone, it would follow the loudest motor.
 *
 * @param map levels
 * @param speeds model speed at the frames, Hz, one for all or one per motor
 * @param orders which orders are read, with their weights
 * @returns the ratio 1 + r per frame, |r| ≤ 8 %
 */
export function residualRatio(
  map: LineMap,
  speeds: readonly Float64Array[],
  orders: readonly { order: number; weight: number }[],
): Float64Array {
  const half = Math.round(RATIO_RANGE / RATIO_STEP);
  const states = 2 * half + 1;
  const emission = smoothedOverFrames(emissions(map, speeds, orders, { half, states }), states);
  const frames = speeds[0]!.length;
  let cost = emission.slice(0, states);
  const from = new Int16Array(frames * states);
  const hopS = map.grid.hop / map.grid.sampleRate;
  for (let k = 1; k < frames; k++) {
    const gapS = (map.grid.starts[k]! - map.grid.starts[k - 1]!) / map.grid.sampleRate;
    const next = new Float64Array(states);
    const perStep = (MOVE_COST * RATIO_STEP * 100 * hopS) / Math.max(hopS, gapS);
    for (let s = 0; s < states; s++) {
      let best = Number.NEGATIVE_INFINITY;
      for (let t = Math.max(0, s - 8); t <= Math.min(states - 1, s + 8); t++) {
        const value = cost[t]! - perStep * Math.abs(s - t);
        if (value <= best) continue;
        best = value;
        from[k * states + s] = t;
      }
      next[s] = best + emission[k * states + s]!;
    }
    cost = next;
  }
  return tracedBack(from, cost, states).map((s) => 1 + (s - half) * RATIO_STEP);
}

function emissions(
  map: LineMap,
  speeds: readonly Float64Array[],
  orders: readonly { order: number; weight: number }[],
  { half, states }: { half: number; states: number },
): Float64Array {
  const frames = speeds[0]!.length;
  const out = new Float64Array(frames * states);
  for (let k = 0; k < frames; k++) {
    for (let s = 0; s < states; s++) {
      const r = (s - half) * RATIO_STEP;
      let sum = 0;
      for (const hz of speeds) {
        for (const { order, weight } of orders) sum += weight * levelAt(map, k, order * hz[k]! * (1 + r));
      }
      out[k * states + s] = sum / speeds.length - Math.abs(r) * 100 * OFF_COST;
    }
  }
  return out;
}

/** Level of one frame where a line of this true frequency shows; 0 below what is read. */
function levelAt(map: LineMap, frame: number, frequency: Hertz): number {
  const { bins, sampleRate, segmentLength } = map.grid;
  const shown = fold(frequency, sampleRate);
  if (shown < map.lowestHz) return 0;
  const x = (shown * segmentLength) / sampleRate;
  const bin = Math.min(bins - 2, Math.floor(x));
  const at = frame * bins + bin;
  return map.level[at]! + (x - bin) * (map.level[at + 1]! - map.level[at]!);
}

function smoothedOverFrames(x: Float64Array, states: number): Float64Array {
  const out = new Float64Array(x.length);
  for (let i = 0; i < x.length; i++) {
    const before = i >= states ? x[i - states]! : x[i]!;
    const after = i + states < x.length ? x[i + states]! : x[i]!;
    out[i] = (before + x[i]! + after) / 3;
  }
  return out;
}

function tracedBack(from: Int16Array, last: Float64Array, states: number): Float64Array {
  const frames = from.length / states;
  const path = new Float64Array(frames);
  let s = last.indexOf(Math.max(...last));
  for (let k = frames - 1; k >= 0; k--) {
    path[k] = s;
    s = from[k * states + s]!;
  }
  return path;
}
