import { median } from "../stats/median.js";
import type { Timeline } from "../timeline/timeline.js";
import type { Hertz, Interval } from "../units.js";
import { keptOrderBlocks, type OrderBlock, overAxes } from "./order-amplitudes.js";
import type { MotorImbalance, SpeedTrack } from "./rotor.js";

/** Fewer blocks than this say nothing about a motor. */
const FEWEST_BLOCKS = 6;
/** A block counts for a motor by how much of the line is its own; below this it does not count. */
const LEAST_OWN = 0.05;
/** Half-overlapping Hann blocks: two of them are worth 1.89 apart ones (ν = 36K²/(19K − 1), P. D. Welch 1967). */
const WORTH = 0.947;
/** Width of a class of speed, ln. */
const SPEED_CLASS = 0.04;
/** A motor stands out when it is this many times the next one, and its interval clears the next one's. */
const STANDS_OUT = 1.4;

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
 * F_ref / F times itself at F_ref. A mode swells the line of whichever motor turns at its frequency: the craft's answer
 * over speed is fitted together with the motors' strengths, power = strength · answer(F), and motors are compared only
 * where several have turned at the same speed. Noise power measured beside the line is taken off. Intervals come from
 * the scatter over blocks.
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
  const cells = sharedSpeeds(cellsOf(keptOrderBlocks(timeline, tracks, 1), referenceHz), tracks.length);
  const answer = commonAnswer(cells, tracks.length);
  const weighed = tracks.flatMap((t, m) => weigh(cells, answer, { m, motor: t.motor! }) ?? []);
  return { motors: weighed.map(amplitudeOf), worstMotor: worst(weighed, tracks.length) };
}

/** Power of one motor's line in one block, brought to the reference speed. */
interface Cell {
  readonly m: number;
  /** Class of speed, in steps of 4 %. */
  readonly speed: number;
  readonly power: number;
  readonly weight: number;
}

/**
 * A power in noise N scatters by the line's own power and N together: a block shaken hard by wash or gusts counts less. The
 * noise of a block is that of all its motors, each as if it stood alone, so that a weight hardly goes with the very noise
 * that is taken off.
 */
function cellsOf(blocks: readonly OrderBlock[], referenceHz: Hertz): Cell[] {
  const noise = blocks.map((b) => {
    const alone = b.hz.map((hz, m) => b.own[m]! * overAxes(b.quietNoise[m]!) * (referenceHz / hz) ** 2);
    return alone.reduce((sum, v) => sum + v, 0) / alone.length;
  });
  const usual = Math.max(1e-30, median(noise.filter((v) => v > 0)));
  return blocks.flatMap((b, i) =>
    b.hz.flatMap((hz, m) => {
      const own = b.own[m]!;
      if (!(own > LEAST_OWN && hz > 0)) return [];
      const power = (overAxes(b.power[m]!) - overAxes(b.quietNoise[m]!)) * (referenceHz / hz) ** 2;
      const speed = Math.round(Math.log(hz) / SPEED_CLASS);
      return { m, speed, power, weight: own / (1 + noise[i]! / (own * usual)) ** 2 };
    }),
  );
}

/** The cells at speeds that at least half of the motors have turned at. */
function sharedSpeeds(cells: readonly Cell[], motors: number): Cell[] {
  const seen = new Map<number, Set<number>>();
  for (const { m, speed } of cells) seen.set(speed, (seen.get(speed) ?? new Set()).add(m));
  return cells.filter(({ speed }) => seen.get(speed)!.size >= Math.max(2, motors / 2));
}

/** How much louder than a rigid body the craft answers at each class of speed, by alternating least squares. */
function commonAnswer(cells: readonly Cell[], motors: number): Map<number, number> {
  const answer = new Map(cells.map((c) => [c.speed, 1]));
  let strength = new Float64Array(motors).fill(1);
  for (let round = 0; round < 8; round++) {
    strength = strengths(cells, answer, motors);
    const up = new Map<number, number>();
    const down = new Map<number, number>();
    for (const { m, speed, power, weight } of cells) {
      up.set(speed, (up.get(speed) ?? 0) + weight * power * strength[m]!);
      down.set(speed, (down.get(speed) ?? 0) + weight * strength[m]! ** 2);
    }
    for (const speed of answer.keys()) {
      const ratio = down.get(speed)! > 0 ? up.get(speed)! / down.get(speed)! : 1;
      answer.set(speed, Math.min(50, Math.max(0.1, ratio)));
    }
  }
  return atMeanOne(answer, cells);
}

function atMeanOne(answer: ReadonlyMap<number, number>, cells: readonly Cell[]): Map<number, number> {
  const total = cells.reduce((sum, c) => sum + c.weight, 0);
  const mean = cells.reduce((sum, c) => sum + c.weight * answer.get(c.speed)!, 0) / total;
  return new Map([...answer].map(([speed, a]) => [speed, a / mean]));
}

function strengths(
  cells: readonly Cell[],
  answer: ReadonlyMap<number, number>,
  motors: number,
): Float64Array<ArrayBuffer> {
  const up = new Float64Array(motors);
  const down = new Float64Array(motors);
  for (const { m, speed, power, weight } of cells) {
    const a = answer.get(speed)!;
    // Weighted by 1 / a²: scatter grows with the power itself.
    up[m] = up[m]! + (weight * power) / a;
    down[m] = down[m]! + weight;
  }
  return up.map((u, m) => (down[m]! > 0 ? Math.max(0, u / down[m]!) : 0));
}

function weigh(
  cells: readonly Cell[],
  answer: ReadonlyMap<number, number>,
  o: { m: number; motor: number },
): Weighed | null {
  const used = cells.filter((c) => c.m === o.m);
  if (used.length < FEWEST_BLOCKS) return null;
  const value = (c: Cell): number => c.power / answer.get(c.speed)!;
  const total = used.reduce((sum, c) => sum + c.weight, 0);
  const power = used.reduce((sum, c) => sum + c.weight * value(c), 0) / total;
  const spread = used.reduce((sum, c) => sum + (c.weight * (value(c) - power)) ** 2, 0);
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
