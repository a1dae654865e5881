import type { Craft } from "../craft.js";
import type { ModesEstimate } from "../modes/mode.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import { airborneSeconds, presentAxes, type Timeline } from "../timeline/timeline.js";
import { AXES, type Hertz, perAxis } from "../units.js";
import { adviceOf } from "./advice.js";
import { attenuations } from "./attenuation.js";
import { candidatesOf, ownCandidate } from "./candidates.js";
import { doubtsOf } from "./doubts.js";
import { excitationOf, moves } from "./excitation.js";
import { crowdedShare } from "./line-plan.js";
import { type MeasureInput, measurePaths } from "./measure.js";
import { exampleChains, menuOf } from "./menu.js";
import { REFUSALS } from "./messages.js";
import { gainsOf, ownChain, ownStepsOf } from "./own-chain.js";
import { type Predictor, predictorOf } from "./predictor.js";
import { leastDelay, type Trade, tryAll } from "./search.js";
import type { Candidate, DtermLimit, FilterRefusal, FilterStudy, OwnChain } from "./study.js";
import { studyFrames } from "./study-frames.js";
import { type FilterStudyOptions, type Setting, settingOf } from "./study-setting.js";
import { throttleLevels } from "./throttle-levels.js";

export type { FilterStudyOptions } from "./study-setting.js";

const FRAME_S = 0.5;
const MOST_FRAMES = 240;
const LEAST_SECONDS = 4;
const DEFAULT_SHARE = 0.02;
/** The least-delay chain keeps a tenth of a share of the motor range in hand: predictions are good to a few per cent. */
const IN_HAND = 0.1;
/** A log must reach this many times past the top of commanded motion for the loop's band to be told from what folds. */
const LEAST_NYQUIST = 6;
/** The curve is drawn up to this delay, or 1.5 times the flight's own. */
const LONGEST_MS = 8;

/**
 * What filtering costs on this flight, what other filters would have left, and the least-delay chain that holds the
 * D-term's limit. Open loop, and nothing is written to a controller.
 *
 * @param timeline one flight; needs the raw gyro
 * @param rotor speeds and orders, for notches that follow them and for lines that fold
 * @param modes fixed resonances, for attenuation there and a notch on the first
 * @param craft loop rate, crossover, D-term scale where known
 * @returns the study, or a refusal with its reason and cost
 * @throws {InputError} "usage" when an option does not fit the log
 */
export function filterStudy(
  timeline: Timeline,
  rotor: RotorEstimate,
  modes: ModesEstimate,
  craft: Craft,
  options: FilterStudyOptions = {},
): FilterStudy | FilterRefusal {
  const setting = settingOf(timeline, { rotor, craft, options });
  const refused = refusal(timeline, setting.fromHz);
  if (refused !== null) return { what: "the cost of filtering", cost: refused };
  const given: Given = { timeline, rotor, modes, craft, setting, share: options.dtermShare ?? DEFAULT_SHARE };
  return studied(given);
}

interface Given {
  readonly timeline: Timeline;
  readonly rotor: RotorEstimate;
  readonly modes: ModesEstimate;
  readonly craft: Craft;
  readonly setting: Setting;
  /** D-term RMS that may remain, share of the motor range. */
  readonly share: number;
}

function studied(given: Given): FilterStudy {
  const { timeline, rotor, setting, craft, share } = given;
  const levels = throttleLevels(timeline);
  const { loopRate, crossoverHz, fromHz } = setting;
  const input: MeasureInput = { ...given, levels, loopRate, crossoverHz };
  const paths = measurePaths(input);
  const measured = paths.flatMap((path) => path.rows);
  const dtermGain = gainsOf(paths);
  const logged = AXES.some((axis) => dtermGain[axis] !== null);
  const dterm = logged ? "known" : presentAxes(timeline.dterm).length > 0 ? "unsure" : "none";
  const motors = motorCount(timeline, craft);
  const frames = studyFrames(timeline, levels, { seconds: FRAME_S, most: MOST_FRAMES });
  const excitation = excitationOf(timeline, rotor, { frames, levels, loopRate, motors, fromHz });
  const ones = perAxis((axis) => (timeline.gyroRaw[axis] === null ? null : 1));
  const predictor = predictorOf(excitation, { fromHz, crossoverHz, dtermGain: logged ? dtermGain : ones });
  const ownSteps = ownStepsOf(paths);
  const own = ownChain(paths, { fromHz, ownSteps, predictor });
  const fullScale = logged ? (craft.dtermFullScale ?? timeline.motorRange) : null;
  const limit = limitOf(own, fullScale, share);
  const { least, candidates } = searched(given, { predictor, own, limit });
  const dtermUnit = logged ? "log's own units" : "deg/s²";
  const crowded = crowdedShare(rotor, frames.grid, fromHz);
  return {
    openLoop: true,
    loopRateHz: loopRate,
    loopRateFrom: setting.loopRateFrom,
    crossoverHz,
    crossoverFrom: setting.crossoverFrom,
    fromHz,
    dtermUnit,
    dtermGain,
    limit,
    measured,
    attenuation: attenuations(input, paths),
    own,
    candidates: [...ownCandidate(own, measured, limit), ...candidates],
    advice: adviceOf({ own, ownSteps, least, limit, predictor, dtermUnit, fullScale }),
    doubts: doubtsOf({ setting, rotor, excitation, dterm, motors, own, crowded }),
  };
}

/** Every chain of the menu tried, the best picked, the ones to show predicted in full. */
function searched(
  { rotor, modes, setting }: Given,
  { predictor, own, limit }: { predictor: Predictor; own: OwnChain; limit: DtermLimit | null },
): { readonly least: Trade | null; readonly candidates: Candidate[] } {
  const lowestNotchHz = Math.max(1.5 * setting.crossoverHz, setting.fromHz);
  const trades = tryAll(predictor, menuOf({ rotor, modes }, lowestNotchHz));
  const least = limit === null ? null : securedLeast(trades, limit, predictor);
  const longestMs = Math.max(LONGEST_MS, 1.5 * (own.delayMs ?? 0));
  const examples = exampleChains(predictor, rotor, lowestNotchHz);
  return { least, candidates: candidatesOf(trades, { least, limit, predictor, longestMs, examples }) };
}

/** Chains tried in turn until one holds the limit with all of its interval. */
const MOST_TRIES = 6;

/**
 * The least-delay chain whose whole interval lies within the limit. This flight's own level is not known better than
 * the prediction it is compared with: there the prediction itself must lie within.
 */
function securedLeast(trades: readonly Trade[], limit: DtermLimit, predictor: Predictor): Trade | null {
  let bound = (1 - inHand(limit)) * limit.value;
  for (let tries = 0; tries < MOST_TRIES; tries++) {
    const least = leastDelay(trades, bound);
    if (least === null || limit.how === "this flight's own level") return least;
    const { dtermCi95 } = predictor.predict(least.chain);
    const upper = Math.max(0, ...AXES.map((axis) => dtermCi95[axis]?.[1] ?? 0));
    if (upper <= limit.value) return least;
    bound = Math.min(0.95 * bound, (least.dtermRms * limit.value) / upper);
  }
  return leastDelay(trades, bound);
}

/** Whether a study was refused. */
export function isRefusal(study: FilterStudy | FilterRefusal): study is FilterRefusal {
  return "cost" in study;
}

function refusal(timeline: Timeline, fromHz: Hertz): string | null {
  if (!AXES.some((axis) => moves(timeline.gyroRaw[axis]))) return REFUSALS.noRaw;
  const needed = 2 * LEAST_NYQUIST * fromHz;
  if (timeline.sampleRate < needed) return REFUSALS.slow(timeline.sampleRate, needed);
  const levels = throttleLevels(timeline);
  const { grid } = studyFrames(timeline, levels, { seconds: FRAME_S, most: MOST_FRAMES });
  const enough = airborneSeconds(timeline) >= LEAST_SECONDS && grid.starts.length >= 2 * LEAST_SECONDS;
  return enough ? null : REFUSALS.noAir;
}

function motorCount(timeline: Timeline, craft: Craft): number {
  return craft.rotors ?? (timeline.motors.length > 0 ? timeline.motors.length : 4);
}

function limitOf(own: OwnChain, fullScale: number | null, share: number): DtermLimit | null {
  if (fullScale !== null) return { value: share * fullScale, how: "share of motor range", share };
  const logged = Math.max(0, ...AXES.map((axis) => own.dtermRms[axis] ?? 0));
  return logged > 0 ? { value: logged, how: "this flight's own level", share: null } : null;
}

/** This flight's own level has been flown already: nothing is kept in hand of it. */
function inHand(limit: DtermLimit): number {
  return limit.how === "share of motor range" ? IN_HAND : 0;
}
