import type { Timeline } from "../timeline/timeline.js";
import type { Hertz, Interval } from "../units.js";
import { type OrderBlock, orderBlocks, overAxes } from "./order-amplitudes.js";
import type { MotorImbalance, SpeedTrack } from "./rotor.js";

/** Fewer blocks than this say nothing about a motor. */
const FEWEST_BLOCKS = 6;
/** A block counts for a motor by how much of the line is its own; below this it does not count. */
const LEAST_OWN = 0.05;
/** Half-overlapping Hann blocks: two of them are worth 1.89 apart ones (ν = 36K²/(19K − 1), P. D. Welch 1967). */
const WORTH = 0.947;
/** A motor stands out when it is this many times the next one, and its interval clears the next one's. */
const STANDS_OUT = 1.3;

export interface ImbalanceEstimate {
  readonly motors: readonly MotorImbalance[];
  readonly worstMotor: number | null;
}

interface Weighed {
  readonly motor: number;
  readonly power: number;
  readonly variance: number;
}

/**
 * Once-per-turn amplitude of every motor at one reference speed, root of the sum of squares over the axes.
 *
 * The imbalance force grows as speed², the rigid body's rate as force over speed, so an amplitude at F stands for
 * F_ref / F times itself at F_ref. All motors sweep the same modes, so a mode swells them alike. Noise power measured beside the
 * line is taken off. Intervals come from the scatter over blocks.
 *
 * @param tracks one per motor; anything else gives nothing
 */
export function motorImbalance(
  timeline: Timeline,
  tracks: readonly SpeedTrack[],
  referenceHz: Hertz,
): ImbalanceEstimate {
  const nothing: ImbalanceEstimate = { motors: [], worstMotor: null };
  if (tracks.length < 2 || tracks.some((t) => t.motor === null)) return nothing;
  const blocks = orderBlocks(timeline, tracks, 1);
  const weighed = tracks.flatMap((t, m) => weigh(blocks, m, { motor: t.motor!, referenceHz }) ?? []);
  return { motors: weighed.map(amplitudeOf), worstMotor: worst(weighed, tracks.length) };
}

function weigh(
  blocks: readonly OrderBlock[],
  m: number,
  o: { motor: number; referenceHz: Hertz },
): Weighed | null {
  const used = blocks.filter((b) => b.own[m]! > LEAST_OWN && b.hz[m]! > 0);
  if (used.length < FEWEST_BLOCKS) return null;
  const value = (b: OrderBlock): number =>
    (overAxes(b.power[m]!) - overAxes(b.noise[m]!)) * (o.referenceHz / b.hz[m]!) ** 2;
  const total = used.reduce((sum, b) => sum + b.own[m]!, 0);
  const power = used.reduce((sum, b) => sum + b.own[m]! * value(b), 0) / total;
  const spread = used.reduce((sum, b) => sum + (b.own[m]! * (value(b) - power)) ** 2, 0);
  return { motor: o.motor, power, variance: spread / (total * total) / WORTH };
}

function amplitudeOf({ motor, power, variance }: Weighed): MotorImbalance {
  const half = 1.96 * Math.sqrt(variance);
  const root = (value: number): number => Math.sqrt(Math.max(0, value));
  const ci95Dps: Interval = [root(power - half), root(power + half)];
  return { motor, onceDps: root(power), ci95Dps };
}

function worst(weighed: readonly Weighed[], motors: number): number | null {
  // A motor that could not be measured may be the worst.
  if (weighed.length < motors) return null;
  const [first, second] = [...weighed].sort((a, b) => b.power - a.power);
  if (first === undefined || second === undefined || !(first.power > 0)) return null;
  const apart = Math.sqrt(first.variance + second.variance);
  const clear = first.power - second.power > 2.6 * apart;
  return clear && Math.sqrt(first.power / Math.max(second.power, 1e-12)) > STANDS_OUT ? first.motor : null;
}
