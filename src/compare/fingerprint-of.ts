import { orderMask } from "../rotor/order-mask.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { Timeline } from "../timeline/timeline.js";
import { perAxis } from "../units.js";
import { thirdOctaves } from "../verdict/third-octave.js";
import { withoutBursts } from "./bursts.js";
import { cellLevels } from "./cell-levels.js";
import { cellEdges, cellsOfBand, LOWEST_BAND_HZ } from "./cells.js";
import { allClasses, classify, LEVEL_CLASSES } from "./classes.js";
import type { Fingerprint } from "./fingerprint.js";
import { flownFrames } from "./flown-frames.js";
import { motorLevels } from "./motor-levels.js";
import { orderLevels } from "./order-levels.js";

export const FINGERPRINT_VERSION = 1;

/**
 * Relative standard deviation of the common speed: of telemetry (steps, delay), and of a speed inferred from the
 * spectrum (method note, measured on simulated flights: 0.5 to 3 %).
 */
const SPEED_SD = { telemetry: 0.002, inferred: 0.01, none: 0 } as const;

/**
 * Measures what a later comparison needs of a flight.
 *
 * @returns null when the log holds no gyro or too little calm flight for a single class
 */
export function fingerprintOf(timeline: Timeline, rotor: RotorEstimate): Fingerprint | null {
  const calm = flownFrames(timeline, rotor);
  if (calm === null) return null;
  const mask = orderMask(calm.grid, withLikelyOrders(rotor));
  const flown = { ...calm, drive: withoutBursts(calm, mask) };
  const { grid, drive, matchedBy, source, secondsPerFrame } = flown;
  const scales = classify(drive, matchedBy === "nothing" ? 0 : LEVEL_CLASSES, { secondsPerFrame });
  const nyquist = timeline.sampleRate / 2;
  const edges = cellEdges(nyquist);
  if (allClasses(scales).length === 0 || edges.length < 2) return null;
  const bands = thirdOctaves(LOWEST_BAND_HZ, nyquist)
    .map((band) => cellsOfBand(edges, band))
    .map(([first, last]) => ({ first, last }));
  return {
    version: FINGERPRINT_VERSION,
    gyro: source,
    matchedBy,
    speedSd: matchedBy === "rotor speed" ? SPEED_SD[rotor.source] : 0,
    frameS: grid.segmentLength / grid.sampleRate,
    classes: allClasses(scales),
    edgesHz: edges.map((hz) => Number(hz.toPrecision(6))),
    axes: perAxis((axis) => {
      const frames = flown.gyro[axis];
      if (frames === null) return null;
      const each = scales.map((classed) => cellLevels({ frames, mask, classed, drive, edges, bands }));
      return { levelDb: each.flatMap((l) => l.levelDb), dof: each.flatMap((l) => l.dof) };
    }),
    orders: orderLevels(flown, rotor),
    motors: motorLevels(timeline, rotor),
  };
}

/** Orders that most rotors have, too faint to stand out or not: masked in every flight, so that none is left in one. */
function withLikelyOrders(rotor: RotorEstimate): RotorEstimate {
  const likely = rotor.blades === null ? [4, 6] : [rotor.blades, 2 * rotor.blades, 3 * rotor.blades];
  const known = new Set([1, 2, 3, ...rotor.orders.map((line) => line.order)]);
  const width = rotor.orders.find((line) => line.order === 1)?.halfWidth ?? 0;
  const more = likely
    .filter((order) => !known.has(order))
    .map((order) => ({ order, levelDb: 0, foldedShare: 0, medianHz: 0, halfWidth: 0.8 * width }));
  return { ...rotor, orders: [...rotor.orders, ...more] };
}
