import type { Craft } from "../craft.js";
import type { Timeline } from "../timeline/timeline.js";
import type { Hertz } from "../units.js";
import { expectedRotorBand } from "./expected-band.js";
import type { Candidate, Inference } from "./infer.js";

/** Least log rate at which a line may be attributed to a rotor, Hz. */
const LEAST_RATE: Hertz = 200;
/** Answers below this confidence are withheld. */
const LEAST_CONFIDENCE = 0.9;
/** Once per turn, or another order, must stand out of what lies beside it by so many robust deviations … */
const LEAST_DEVIATIONS = 6;
/** … else the comb may be chance, or a multiple of one not seen (of 360 simulated flights four were so faint, three wrong). */
const FAINT = 0.5;
/**
 * Lines that stand still cannot be told from structures, and motors that differ cannot be centred on: of simulated
 * hover flights three in four were within 3 %, however clear their lines, unless the motors' own commands moved them.
 */
const STANDING = 0.75;
/** A line of a hover moves when it loses this share of its level where it is read at other times. */
const MOVES_IN_HOVER = 0.3;
/** … and only a flight with so many frames shows that. */
const HOVER_FRAMES = 100;
/** How far a speed may lie outside the band that the craft file leads to expect, as a factor. */
const BAND_SLACK = 1.6;

export interface JudgedInference {
  /** null: the evidence is too weak. */
  readonly answer: Candidate | null;
  readonly confidence: number;
  readonly doubts: readonly string[];
}

/** Decides whether a search result may be reported: wrong is worse than none. */
export function judgeInference(timeline: Timeline, craft: Craft, inference: Inference): JudgedInference {
  if (timeline.sampleRate < LEAST_RATE) {
    return none(
      0,
      `log rate ${timeline.sampleRate.toFixed(0)} Hz is too low to attribute any line to the rotors`,
    );
  }
  const stands = inference.hover && !movesInHover(inference);
  const { strength, support } = inference.fundamental;
  const faint = Math.max(strength, support) < LEAST_DEVIATIONS;
  const confidence = Math.min(stands ? STANDING : 1, faint ? FAINT : 1, confidenceOf(inference));
  if (confidence < LEAST_CONFIDENCE) {
    return none(
      confidence,
      inference.hover
        ? "the throttle hardly moves: lines that turn cannot be told from lines that stay; fly a throttle sweep"
        : "no line that moves with throttle stands out clearly enough to tell the rotors' speed",
    );
  }
  const expected = expectedRotorBand(craft);
  const { f0 } = inference.best.model;
  if (expected && (f0 < expected.bandHz[0] / BAND_SLACK || f0 > expected.bandHz[1] * BAND_SLACK)) {
    return none(
      0.5,
      `a moving comb of ${f0.toFixed(0)} Hz was found, but ${expected.from} and battery of the craft file lead to expect ${expected.bandHz.map((f) => f.toFixed(0)).join(" to ")} Hz`,
    );
  }
  const { hint } = inference.fundamental;
  const slowerMayBe = expected === null || f0 / hint > expected.bandHz[0] / BAND_SLACK;
  if (hint > 1 && inference.best === inference.found && slowerMayBe) {
    return none(
      0.5,
      `a moving line of ${f0.toFixed(0)} Hz was found, but whether it is once per turn or ${hint} times that cannot be told`,
    );
  }
  return { answer: inference.best, confidence, doubts: doubtsOf(inference) };
}

function none(confidence: number, doubt: string): JudgedInference {
  return { answer: null, confidence, doubts: [doubt] };
}

/** The best other explanation's score over the winner's: multiples, fractions and near neighbours are no others. */
export function rivalShare({ found, rivals }: Inference): number {
  const others = rivals.filter((r) => isOther(r.model.f0 / found.model.f0));
  return Math.max(0, ...others.map((r) => r.score)) / found.score;
}

function isOther(ratio: number): boolean {
  const near = Math.abs(Math.log(ratio)) < 0.2;
  const up = Math.abs(ratio / Math.round(ratio) - 1) < 0.04;
  const down = Math.abs(1 / ratio / Math.round(1 / ratio) - 1) < 0.04;
  return !near && !up && !down;
}

/** Share of a line's level that must be lost at other times: with the motors' own commands, and with the stick only. */
const MOVING = { own: 0.45, stick: 0.6 } as const;

/**
 * Share of such answers whose median speed is within 3 %, by a logistic law fitted to simulated flights (method
 * note, measured on simulated flights; the accuracy page shows how it held on others).
 *
 * Where only the stick is logged, nothing tells how the motors differ from each other, and the middle of their lines
 * is less sure.
 */
export function confidenceOf(inference: Inference): number {
  const own = hasOwnCommands(inference);
  const still = Math.log((own ? MOVING.own : MOVING.stick) / movingShare(inference));
  const logit =
    5.2 +
    Math.log(Math.max(0.1, inference.found.score)) -
    (own ? 0 : 2) -
    4 * Math.max(0, still) -
    4 * rivalShare(inference) ** 6 -
    (isSingle(inference) ? 0.8 : 0);
  return 1 / (1 + Math.exp(-logit));
}

/** Share of the found line's level that is lost when the speeds are read at other times. */
function movingShare({ found, fundamental }: Inference): number {
  return Math.max(0.02, fundamental.moving) / Math.max(0.05, found.levels[0]!);
}

function movesInHover(inference: Inference): boolean {
  const frames = inference.found.map.grid.starts.length;
  return hasOwnCommands(inference) && frames >= HOVER_FRAMES && movingShare(inference) > MOVES_IN_HOVER;
}

function hasOwnCommands({ driver }: Inference): boolean {
  return driver.logCommands.length > 1;
}

/** No second order speaks for the found one. */
function isSingle({ fundamental, best }: Inference): boolean {
  return fundamental.support < 4 && best.levels.slice(1).every((l) => l < 0.3);
}

function doubtsOf(inference: Inference): string[] {
  return isSingle(inference)
    ? [
        "a single moving line was found and taken for once per turn; were it blade pass, the rotors would turn slower by the number of blades",
      ]
    : [];
}
