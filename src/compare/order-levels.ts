import type { RotorEstimate } from "../rotor/rotor.js";
import type { ShortTimeSpectrum } from "../spectra/spectrum.js";
import { medianBias } from "../spectra/welch.js";
import { medianInPlace } from "../stats/median.js";
import { type PerAxis, perAxis } from "../units.js";
import { round } from "./cell-levels.js";
import { type ClassedFrames, classify, ORDER_CLASSES } from "./classes.js";
import type { OrderLevels } from "./fingerprint.js";
import type { FlownFrames } from "./flown-frames.js";

/** Bins beyond a line's path that hold its power: the main lobe of the periodic Hann window. */
const LOBE = 2;
/** Bins beyond the lobe on either side from which the floor is taken. */
const FLOOR = 6;
const MOST_ORDERS = 6;
/** Frames this far apart still share a beat between motors. */
const LONGEST_LAG = 8;

/** Where an order shows in every frame: bins `[first, last]`, or null where it cannot be read there. */
type Path = readonly (readonly [first: number, last: number] | null)[];

/**
 * Mean square of once per turn, blade pass and the other orders found, in narrow classes of rotor speed, summed over
 * the motors and with the floor below the line taken off.
 *
 * Frames in which the line lies on another order or on the edge of the log's band are left out.
 */
export function orderLevels(flown: FlownFrames, rotor: RotorEstimate): OrderLevels[] {
  if (flown.matchedBy !== "rotor speed") return [];
  const classed = classify(flown.drive, ORDER_CLASSES, flown.secondsPerFrame);
  const orders = comparedOrders(rotor);
  const paths = orders.map((order) => pathOf(order, flown, rotor));
  return orders.map((order, i): OrderLevels => {
    const path = clearOf(
      paths[i]!,
      paths.filter((_, j) => j !== i),
    );
    const axes = perAxis((axis) =>
      flown.gyro[axis] === null ? null : lineLevels(flown.gyro[axis], path, classed),
    );
    return { order, classes: classed.classes, axes };
  });
}

/** Once per turn always, blade pass where the blades are known, and what stood out. */
function comparedOrders(rotor: RotorEstimate): number[] {
  const strongest = [...rotor.orders].sort((a, b) => b.levelDb - a.levelDb).map((line) => line.order);
  const wanted = [1, ...(rotor.blades === null ? [] : [rotor.blades]), ...strongest];
  return [...new Set(wanted)].slice(0, MOST_ORDERS).sort((a, b) => a - b);
}

function pathOf(order: number, { speed, grid }: FlownFrames, rotor: RotorEstimate): Path {
  const width =
    rotor.orders.find((line) => line.order === order)?.halfWidth ?? rotor.orders[0]?.halfWidth ?? 0;
  const perHz = grid.segmentLength / grid.sampleRate;
  const nyquist = grid.sampleRate / 2;
  return speed.map(({ low, high }) => {
    const [from, to] = [order * low * (1 - width), order * high * (1 + width)];
    const fold = Math.floor(from / nyquist);
    if (!(from > 0) || fold !== Math.floor(to / nyquist)) return null;
    const shown = [from, to].map((f) => (fold % 2 === 0 ? f - fold * nyquist : (fold + 1) * nyquist - f));
    const first = Math.floor(Math.min(...shown) * perHz) - LOBE;
    const last = Math.ceil(Math.max(...shown) * perHz) + LOBE;
    return first - FLOOR < 1 || last + FLOOR >= grid.bins ? null : [first, last];
  });
}

/** The path without the frames in which another order comes near. */
function clearOf(path: Path, others: readonly Path[]): Path {
  return path.map((own, k) => {
    if (own === null) return null;
    const near = others.some((other) => {
      const its = other[k];
      return its != null && its[0] <= own[1] + 1 && its[1] >= own[0] - 1;
    });
    return near ? null : own;
  });
}

function lineLevels(
  frames: ShortTimeSpectrum,
  path: Path,
  classed: ClassedFrames,
): NonNullable<PerAxis<{ meanSquare: number[]; dof: number[] }>["roll"]> {
  const squares = path.map((at, k) => (at === null ? Number.NaN : lineSquare(frames, k, at)));
  const count = classed.classes.map(() => 0);
  const sum = classed.classes.map(() => 0);
  squares.forEach((square, k) => {
    const c = classed.of[k]!;
    if (c < 0 || Number.isNaN(square)) return;
    count[c]! += 1;
    sum[c]! += square;
  });
  const mean = sum.map((s, c) => (count[c]! > 0 ? s / count[c]! : 0));
  const variance = relativeVariance(squares, mean, classed);
  return {
    meanSquare: mean.map((m) => Number(m.toPrecision(5))),
    dof: count.map((n) => round((2 * n) / variance, 2)),
  };
}

/** Mean square of the line in one frame: its bins less the floor on either side, unit². */
function lineSquare(frames: ShortTimeSpectrum, k: number, [first, last]: readonly [number, number]): number {
  const { bins, power, sampleRate, segmentLength } = frames;
  const row = k * bins;
  const sides = Float64Array.from({ length: 2 * FLOOR }, (_, i) =>
    i < FLOOR ? power[row + first - 1 - i]! : power[row + last + 1 + i - FLOOR]!,
  );
  const floor = medianInPlace(sides) / medianBias(2 * FLOOR);
  let sum = 0;
  for (let bin = first; bin <= last; bin++) sum += power[row + bin]! - floor;
  return (sum * sampleRate) / segmentLength;
}

/**
 * Relative variance of one frame's mean square about its class's mean, times how many neighbouring frames are
 * alike: lines of motors that turn nearly alike beat slowly, so frames are far from independent.
 */
function relativeVariance(
  squares: readonly number[],
  mean: readonly number[],
  classed: ClassedFrames,
): number {
  const total = mean.reduce((sum, m) => sum + Math.max(0, m), 0);
  if (!(total > 0)) return 2;
  const rest = squares.map((square, k) => {
    const m = mean[classed.of[k]!];
    return m === undefined || !(m > 0) || Number.isNaN(square) ? Number.NaN : (square - m) / m;
  });
  const lagged = (lag: number): number => {
    let sum = 0;
    let n = 0;
    for (let k = 0; k + lag < rest.length; k++) {
      const product = rest[k]! * rest[k + lag]!;
      if (Number.isNaN(product)) continue;
      sum += product;
      n++;
    }
    return n > 0 ? sum / n : 0;
  };
  const own = lagged(0);
  let alike = 1;
  for (let lag = 1; lag <= LONGEST_LAG; lag++) alike += 2 * Math.max(0, lagged(lag) / (own || 1));
  return Math.max(0.05, own * alike);
}
