import type { Craft } from "../craft.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { Timeline } from "../timeline/timeline.js";
import type { OrderAnswer } from "./excited-by.js";
import type { MergedMode } from "./merge.js";
import type { Mode, ModeKind } from "./mode.js";
import { movingTest, surelyMoves } from "./moving.js";
import type { ResolutionBank } from "./resolution-bank.js";
import { setpointCoherence } from "./setpoint-coherence.js";
import { mayBeUnmaskedLine } from "./under-line.js";
import { DOUBTED_CONFIDENCE, unsettled } from "./unsettled.js";
import { washSlope } from "./wash-slope.js";

/** What a mode's kind is judged on. */
export interface KindEvidence {
  readonly timeline: Timeline;
  readonly rotor: RotorEstimate;
  readonly craft: Craft;
  readonly bank: ResolutionBank;
}

/** Below this share of the lowest rotor speed nothing that turns leaves a line: a peak there is not one. */
const BELOW_ROTOR = 0.6;
/** Sway and control loops live below this; the loop's bandwidth and a mount's softness set it, not the propeller. */
const LOW_HZ = 40;
/**
 * Under this a peak that neither moves with a loop's gain nor softens like a joint is a sway: an arm so soft would
 * hardly fly (common practice, no source).
 */
const SWAY_HZ = 16;
/** Natural frequency over speed, as a power: a loop's follows its gain, a structure's hardly moves. */
const LOOP_POWER = 0.3;
const SURE_SD = 3;
const COHERENT = 0.5;
/** Between there and `LOW_HZ`: wash drives a structure, so its power follows the excitation; gusts move a sway. */
const FOLLOWS = 0.5;
const MOST_FOLLOWING = 2.5;

/** Power p in f ∝ speed^p of a mode, with its deviation; null when the speed hardly varies. */
function speedPower(mode: MergedMode, bank: ResolutionBank): { power: number; sd: number } | null {
  const { classes } = bank.base;
  if (classes === null || mode.measuredDrift === null) return null;
  // over the span s of squared speed about 1, ln f changes by drift / f and ln speed by s / 2
  const scale = 2 / (mode.frequencyHz * classes.thrustSpan);
  return { power: mode.measuredDrift.hz * scale, sd: mode.measuredDrift.sdHz * scale };
}

/** Whether lines lie on the mode in most frames: then nothing can tell it from them. */
function underLines(mode: MergedMode, bank: ResolutionBank): boolean {
  const { df, frames } = bank.averages[mode.seen[0]!.axis]!;
  return frames[Math.round(mode.frequencyHz / df)]! < 0.5 * bank.base.plane.grid.starts.length;
}

/**
 * Logged slower than this, with nothing known of what turns, the lines of most rotors lie folded and what is left of
 * the band is the control loop's (common practice, no source).
 */
const LEAST_RATE_HZ = 240;

/** Kind of a peak below everything that turns. */
function lowKind(mode: MergedMode, { timeline, bank }: KindEvidence): ModeKind {
  const power = speedPower(mode, bank);
  if (power !== null && power.power > LOOP_POWER && power.power > SURE_SD * power.sd) return "loop";
  // nothing that turns leaves a line here: what follows the speed is a loop, though no class of speed shows its peak
  if (mode.seen.some((seen) => surelyMoves(movingTest(bank, seen)))) return "loop";
  const axis = bank.axes[mode.seen[0]!.axis]!;
  if (setpointCoherence(timeline, axis, mode.frequencyHz) > COHERENT) return "loop";
  if (power !== null && -power.power > SURE_SD * power.sd) return "structure";
  if (mode.frequencyHz < SWAY_HZ) return "payload";
  const slope = washSlope(mode, bank);
  // what rises faster than the wash does not follow it
  if (slope !== null && slope.value - MOST_FOLLOWING > 2 * slope.sd) return "unresolved";
  if (slope !== null && slope.value - FOLLOWS > 2 * slope.sd) return "structure";
  if (slope !== null && FOLLOWS - slope.value > 2 * slope.sd) return "payload";
  return "unresolved";
}

/** A merged mode with what is believed of it. */
export interface BelievedMode extends MergedMode {
  readonly confidence: number;
  readonly agreement: Mode["agreement"];
  /** What the orders that pass it do there. */
  readonly answers: readonly OrderAnswer[];
}

/** Kind of a mode by the evidence for it, never by a frequency alone. What cannot be told is `unresolved`. */
export function kindOf(mode: BelievedMode, evidence: KindEvidence): ModeKind {
  const { rotor, bank, timeline } = evidence;
  if (unsettled(mode, { rotor, bank, sampleRate: timeline.sampleRate })) return "unresolved";
  if (mode.confidence < DOUBTED_CONFIDENCE && mayBeUnmaskedLine(mode.seen, rotor, bank)) return "unresolved";
  const proven = mode.seen.some((m) => m.persistence.inFavour >= 2 && m.persistence.against === 0);
  if (rotor.source === "none" && timeline.sampleRate < LEAST_RATE_HZ) return "unresolved";
  if (rotor.source === "none" && (bank.base.classes === null || !proven)) return "unresolved";
  if (rotor.source === "inferred" && bank.base.classes === null && underLines(mode, bank))
    return "unresolved";
  const lowest = rotor.bandHz?.[0] ?? LOW_HZ;
  if (mode.frequencyHz < LOW_HZ && mode.frequencyHz < BELOW_ROTOR * lowest) return lowKind(mode, evidence);
  return "structure";
}
