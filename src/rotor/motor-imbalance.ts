import { median } from "../stats/median.js";
import type { Timeline } from "../timeline/timeline.js";
import { type Hertz, type Interval, perAxis } from "../units.js";
import { type Cell, commonAnswer, levelled, type Response, SPEED_CLASS } from "./common-answer.js";
import { fold } from "./fold.js";
import { keptOrderBlocks, type OrderBlock, overAxes } from "./order-amplitudes.js";
import type { MotorImbalance, SpeedTrack } from "./rotor.js";

/** Fewer blocks than this say nothing about a motor. */
const FEWEST_BLOCKS = 6;
/** A block counts for a motor by how much of the line is its own; below this it does not count. */
const LEAST_OWN = 0.05;
/** Half-overlapping Hann blocks: two of them are worth 1.89 apart ones (ν = 36K²/(19K − 1), P. D. Welch 1967). */
const WORTH = 0.947;
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
  /** How much of the line is the motor's own, 0 to 1. */
  readonly own: number;
}

/** Phase that a report leaves wrong within a block costs some of the line: no amplitude is surer than this share. */
const LEAST_SHARE = 0.06;
/** A line folded to below this lies in the craft's own motion, Hz (common practice, no source). */
const LEAST_SHOWN: Hertz = 10;

/**
 * Once-per-turn amplitude of every motor at one reference speed, root of the sum of squares over the axes.
 *
 * The imbalance force grows as speed², the rigid body's rate as force over speed, so an amplitude at F stands for
 * F_ref / F times itself at F_ref. A mode swells the line of whichever motor turns at its frequency: the craft's answer
 * over speed is fitted together with the motors' strengths, power = strength · answer(F), and motors are compared only
 * where several have turned at the same speed. That fit leaves open how much of the level all share is the modes':
 * where their response is known it is taken off, speeds away from modes counting most. Noise power measured beside the
 * line is taken off. Intervals come from the scatter over blocks, widened by what motors that turn alike may take from
 * each other.
 *
 * @param tracks one per motor; anything else gives nothing
 * @param o speed to which amplitudes are brought; the modes' response, if known
 */
export function motorImbalance(
  timeline: Timeline,
  tracks: readonly SpeedTrack[],
  { referenceHz, response = null }: { referenceHz: Hertz; response?: Response | null },
): ImbalanceEstimate {
  const nothing: ImbalanceEstimate = { motors: [], worstMotor: null };
  if (tracks.length < 2 || tracks.some((t) => t.motor === null)) return nothing;
  const shown = (hz: Hertz): boolean => fold(hz, timeline.sampleRate) > LEAST_SHOWN;
  const blocks = keptOrderBlocks(timeline, tracks, 1).filter((b) => b.hz.every(shown));
  const cells = sharedSpeeds(cellsOf(blocks, referenceHz), tracks.length);
  const { answer, sd } = levelled(commonAnswer(cells, tracks.length), cells, response);
  const weighed = tracks.flatMap((t, m) => weigh(cells, answer, { m, motor: t.motor! }) ?? []);
  const loudest = Math.max(0, ...weighed.map((w) => w.power));
  const motors = weighed.map((w) => amplitudeOf(w, { loudest, levelSd: sd }));
  return { motors, worstMotor: worst(weighed, tracks.length) };
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
  const heard = noise.filter((v) => v > 0);
  if (heard.length === 0) return [];
  const usual = median(heard);
  return blocks.flatMap((b, i) =>
    b.hz.flatMap((hz, m) => {
      const own = b.own[m]!;
      if (!(own > LEAST_OWN && hz > 0)) return [];
      const axes = perAxis((axis) => (b.power[m]![axis] - b.quietNoise[m]![axis]) * (referenceHz / hz) ** 2);
      const speed = Math.round(Math.log(hz) / SPEED_CLASS);
      const weight = own / (1 + noise[i]! / (own * usual)) ** 2;
      return { m, speed, power: overAxes(axes), axes, weight, own };
    }),
  );
}

/** The cells at speeds that at least half of the motors have turned at. */
function sharedSpeeds(cells: readonly Cell[], motors: number): Cell[] {
  const seen = new Map<number, Set<number>>();
  for (const { m, speed } of cells) seen.set(speed, (seen.get(speed) ?? new Set()).add(m));
  return cells.filter(({ speed }) => seen.get(speed)!.size >= Math.max(2, motors / 2));
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
  const own = used.reduce((sum, c) => sum + c.weight * c.own, 0) / total;
  return { motor: o.motor, power, variance: spread / (total * total) / WORTH, own };
}

/**
 * What motors that turn alike may take from each other, as a share of the loudest one's amplitude where they cannot be
 * parted; it falls with the cube of what is not a motor's own (measured on simulated flights).
 */
const TAKEN = 0.4;

function amplitudeOf(
  { motor, power, variance, own }: Weighed,
  { loudest, levelSd }: { loudest: number; levelSd: number },
): MotorImbalance {
  const root = (value: number): number => Math.sqrt(Math.max(0, value));
  const onceDps = root(power);
  const shared = Math.hypot(
    LEAST_SHARE * onceDps,
    TAKEN * (1 - own) ** 3 * root(loudest),
    0.5 * levelSd * onceDps,
  );
  const half = 1.96 * Math.sqrt(variance);
  const [low, high] = [onceDps - root(power - half), root(Math.max(0, power) + half) - onceDps];
  const ci95Dps: Interval = [
    Math.max(0, onceDps - Math.hypot(low, 1.96 * shared)),
    onceDps + Math.hypot(high, 1.96 * shared),
  ];
  return { motor, onceDps, ci95Dps };
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
