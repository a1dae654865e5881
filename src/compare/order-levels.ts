import type { RotorEstimate } from "../rotor/rotor.js";
import type { ShortTimeSpectrum } from "../spectra/spectrum.js";
import { medianBias } from "../spectra/welch.js";
import { medianInPlace } from "../stats/median.js";
import { AXES, perAxis } from "../units.js";
import { scaleLevels } from "./class-levels.js";
import { allClasses, classify, LINE_CLASSES } from "./classes.js";
import type { OrderLevels } from "./fingerprint.js";
import type { FlownFrames } from "./flown-frames.js";

/** Bins beyond a line's path that hold its power: the main lobe of the periodic Hann window. */
const LOBE = 2;
/** Bins beyond the lobe on either side from which the floor is taken. */
const FLOOR = 6;
const MOST_ORDERS = 6;

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
  const scales = classify(flown.drive, LINE_CLASSES, { secondsPerFrame: flown.secondsPerFrame, least: 2 });
  const orders = comparedOrders(rotor);
  const paths = orders.map((order) => pathOf(order, flown, rotor));
  return orders.map((order, i): OrderLevels => {
    const path = clearOf(
      paths[i]!,
      paths.filter((_, j) => j !== i),
    );
    const squares = perAxis((axis) => flown.gyro[axis] && lineSquares(flown.gyro[axis], path));
    const sum = Float64Array.from(path, (_, k) =>
      AXES.reduce((total, axis) => total + (squares[axis]?.[k] ?? 0), 0),
    );
    return {
      order,
      classes: allClasses(scales),
      axes: perAxis((axis) => squares[axis] && scaleLevels(squares[axis], scales)),
      together: scaleLevels(sum, scales),
    };
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

function lineSquares(frames: ShortTimeSpectrum, path: Path): Float64Array {
  return Float64Array.from(path, (at, k) => (at === null ? Number.NaN : lineSquare(frames, k, at)));
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
