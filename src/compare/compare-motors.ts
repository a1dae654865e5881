import type { TwoSides } from "./compare-levels.js";
import { lineRatio } from "./compare-orders.js";
import type { FlownClass, MotorLevels } from "./fingerprint.js";
import { type LevelRatio, levelRatio, withScatter } from "./level.js";

export interface MotorRatio extends LevelRatio {
  readonly motor: number;
}

const DB = 10 / Math.LN10;
/** A rigid craft's once-per-turn power grows as speed²: force ∝ speed², rate = torque / speed. */
const POWER_EXPONENT = 2;
/** How unsure that exponent is where the speeds differ: resonances bend it. */
const EXPONENT_SD = 1.5;
/** Fewer classes than this show no scatter from class to class. */
const LEAST_CLASSES = 3;

/**
 * Ratio of every motor's once-per-turn power: at equal speed of that motor over the classes that both flew, or with
 * all classes carried to one speed, whichever is the better known.
 */
export function motorRatios({ before, after, scatterDb }: TwoSides): MotorRatio[] {
  return before.motors.flatMap((one): MotorRatio[] => {
    const two = after.motors.find((other) => other.motor === one.motor);
    if (two === undefined) return [];
    const ratios = [
      lineRatio([one.classes, two.classes], [one, two], scatterDb),
      carriedRatio(one, two, scatterDb),
    ].filter((ratio) => ratio !== null);
    const [best] = ratios.sort((a, b) => width(a) - width(b));
    return best === undefined ? [] : [{ motor: one.motor, ...best }];
  });
}

/** Room for what the two estimators weigh differently, dB. */
const SLACK_DB = 1;

/**
 * The motors whose change adds up to that of the whole once-per-turn line, which needs no phase; none when it does
 * not: speed reports that are late by an unknown time scramble the phases by which motors are told apart.
 *
 * @param whole change of the once-per-turn line of all motors together; null: not known, nothing to check against
 */
export function motorsThatAddUp(
  ratios: readonly MotorRatio[],
  { before }: TwoSides,
  whole: LevelRatio | null,
): readonly MotorRatio[] {
  if (whole === null || ratios.length === 0) return ratios;
  const parts = ratios.map(({ motor, ratioDb }) => {
    const level = carriedLevel(before.motors.find((m) => m.motor === motor)!);
    return { power: level?.mean ?? 0, ratio: 10 ** (ratioDb / 10) };
  });
  const total = parts.reduce((sum, part) => sum + part.power, 0);
  const sumDb = 10 * Math.log10(parts.reduce((sum, part) => sum + part.power * part.ratio, 0) / total);
  const [low, high] = whole.ci95Db;
  return sumDb > low - SLACK_DB && sumDb < high + SLACK_DB ? ratios : [];
}

function width({ ci95Db }: LevelRatio): number {
  return ci95Db[1] - ci95Db[0];
}

/** Both sides' level divided by speed², with what the exponent's uncertainty makes of other speeds. */
function carriedRatio(
  one: MotorLevels,
  two: MotorLevels,
  [scatter, other]: readonly [number, number],
): LevelRatio | null {
  const [a, b] = [carriedLevel(one), carriedLevel(two)];
  if (a === null || b === null) return null;
  const apart = EXPONENT_SD * DB * Math.abs(b.logSpeed - a.logSpeed);
  return levelRatio(withScatter(a, scatter), withScatter(b, Math.hypot(other, apart)));
}

/**
 * Mean over the classes of one scale of ln(power / speed²), weighing by degrees of freedom; its own degrees of
 * freedom from the classes' scatter where that is the larger, which resonances make it.
 */
function carriedLevel(line: MotorLevels): { mean: number; dof: number; logSpeed: number } | null {
  const known = oneScale(line.classes)
    .map((c) => ({ logSpeed: Math.log(Math.sqrt(line.classes[c]!.from * line.classes[c]!.to)), c }))
    .map(({ logSpeed, c }) => ({ logSpeed, dof: line.dof[c]!, power: line.meanSquare[c]! }))
    .filter(({ dof, power }) => dof > 0 && power > 0)
    .map((k) => ({ ...k, log: Math.log(k.power) - POWER_EXPONENT * k.logSpeed }));
  const total = known.reduce((sum, k) => sum + k.dof, 0);
  if (!(total > 0)) return null;
  const mean = (of: (k: (typeof known)[number]) => number): number =>
    known.reduce((sum, k) => sum + k.dof * of(k), 0) / total;
  const log = mean((k) => k.log);
  const spread =
    known.reduce((sum, k) => sum + (k.dof / total) ** 2 * (k.log - log) ** 2, 0) *
    (known.length / (known.length - 1));
  const between = known.length < LEAST_CLASSES ? 0 : spread;
  return { mean: Math.exp(log), dof: 2 / Math.max(2 / total, between), logSpeed: mean((k) => k.logSpeed) };
}

/** Positions of the classes on the scale that holds more time. */
function oneScale(classes: readonly FlownClass[]): number[] {
  const scales = [0, 1].map((odd) =>
    classes.flatMap((c, i) => (Math.abs(c.index % 2) === odd ? [i] : [])),
  ) as [number[], number[]];
  const seconds = scales.map((own) => own.reduce((sum, i) => sum + classes[i]!.seconds, 0));
  return seconds[1]! > seconds[0]! ? scales[1] : scales[0];
}
