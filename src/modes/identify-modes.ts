import type { Craft } from "../craft.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { Timeline } from "../timeline/timeline.js";
import { perAxis } from "../units.js";
import type { Scan } from "./candidates.js";
import { confidenceOf, type Evidence, evidenceFor } from "./confidence.js";
import { excitation, orderAnswers } from "./excited-by.js";
import { FALSE_ALARM_RATE, firstLook, lineFreeBelow } from "./first-look.js";
import { fixedSpectrum } from "./fixed-spectrum.js";
import { type BelievedMode, type KindEvidence, kindOf } from "./kinds.js";
import { findLoops } from "./loops.js";
import { dampingInterval, frequencyInterval, type MergedMode } from "./merge.js";
import type { Mode, ModesEstimate, Tone } from "./mode.js";
import { onLine } from "./on-line.js";
import type { ResolutionBank } from "./resolution-bank.js";
import { agreementOf } from "./second-method.js";
import { secondPass } from "./second-pass.js";
import { type FoundTone, findTones } from "./tones.js";
import { unobservableBands } from "./unobservable.js";

/**
 * Less than even odds of being real is not reported, except where nothing tells lines from structures: there every peak
 * is listed, unresolved, with the odds it has, unless a line is all but certain.
 */
const LEAST_CONFIDENCE = { told: 0.5, blind: 0.1 };
/** A drift is reported when its deviation is under this share of the frequency. */
const MOST_DRIFT_SD = 0.01;

const NOTHING: ModesEstimate = {
  modes: [],
  tones: [],
  unobservable: [],
  fixed: perAxis(() => null),
  shapes: perAxis(() => []),
  falseAlarmRate: FALSE_ALARM_RATE,
  doubts: [],
};

/** Drift as reported: only when its deviation is under 1 % of the frequency. */
function driftHz({ drift, frequencyHz }: MergedMode): number | null {
  return drift !== null && drift.sdHz < MOST_DRIFT_SD * frequencyHz ? drift.hz : null;
}

/** A tone as reported. */
function asTone({ frequencyHz, axes, foldedFromHz }: FoundTone): Tone {
  return { frequencyHz, axes, foldedFromHz };
}

/** A believed mode with the evidence for it. */
export interface JudgedMode extends BelievedMode {
  readonly evidence: Evidence;
}

function report(mode: JudgedMode, context: KindEvidence): Mode {
  return {
    frequencyHz: mode.frequencyHz,
    ci95Hz: frequencyInterval(mode),
    dampingRatio: mode.dampingRatio,
    dampingCi95: dampingInterval(mode),
    kind: kindOf(mode, context),
    axes: mode.seen.map((m) => ({ axis: context.bank.axes[m.axis]!, prominenceDb: m.prominenceDb })),
    confidence: mode.confidence,
    agreement: mode.agreement,
    driftHz: driftHz(mode),
    excitedBy: excitation(mode.answers),
  };
}

/** Everything found, before it is worded: for the report and for calibrating the confidence. */
export interface Findings {
  readonly tones: readonly FoundTone[];
  readonly bank: ResolutionBank;
  readonly scans: readonly Scan[];
  readonly modes: readonly JudgedMode[];
}

/** @returns modes of any confidence, or null with the tones alone when the log is too short */
export function findModes(
  timeline: Timeline,
  rotor: RotorEstimate,
): Findings | { tones: readonly FoundTone[]; bank: null } {
  const tones = findTones(timeline, (line) => onLine(line, rotor, timeline.sampleRate));
  const looked = firstLook(timeline, rotor, tones);
  if (looked === null) return { tones, bank: null };
  const { bank, axes } = looked;
  const lineFreeHz = lineFreeBelow(rotor);
  const fixed = secondPass(bank, axes);
  const modes = [...fixed, ...findLoops(axes, fixed)].map((merged) => {
    const answers = orderAnswers(merged, bank, rotor);
    const evidence = evidenceFor(merged, bank, { rotor, lineFreeHz, answers });
    return {
      ...merged,
      evidence,
      confidence: confidenceOf(evidence),
      agreement: agreementOf(merged),
      answers,
    };
  });
  return { tones, bank, scans: axes.map((a) => a.scan), modes };
}

/**
 * What stays put: structural modes and tones with their uncertainty, from the cells of the time-frequency plane
 * that nothing turning touches.
 *
 * @param timeline the flight
 * @param rotor what turns
 * @param craft what the user told of the craft
 */
export function identifyModes(timeline: Timeline, rotor: RotorEstimate, craft: Craft): ModesEstimate {
  const found = findModes(timeline, rotor);
  const { tones, bank } = found;
  if (bank === null)
    return { ...NOTHING, tones: tones.map(asTone), doubts: ["the log is too short to look for modes"] };
  const least = LEAST_CONFIDENCE[nothingTells(rotor, bank) ? "blind" : "told"];
  const believed = found.modes.filter((m) => m.confidence >= least);
  const context: KindEvidence = { timeline, rotor, craft, bank };
  const modes = believed.map((m) => report(m, context));
  const structures = believed.filter((_, i) => modes[i]!.kind === "structure").flatMap((m) => m.seen);
  return {
    modes,
    shapes: perAxis((axis) => structures.filter((m) => bank.axes[m.axis] === axis)),
    tones: tones.map(asTone),
    unobservable: unobservableBands(bank.averages[0]!, tones),
    fixed: fixedSpectrum(
      bank,
      found.scans,
      believed.flatMap((m) => m.seen),
    ),
    falseAlarmRate: FALSE_ALARM_RATE,
    doubts: doubtsOf(rotor, bank),
  };
}

/** Whether neither the rotors' speed nor a change of throttle tells what turns from what stays put. */
function nothingTells(rotor: RotorEstimate, bank: ResolutionBank): boolean {
  return rotor.source === "none" && bank.base.classes === null;
}

/** What this log could not decide, in words. */
function doubtsOf(rotor: RotorEstimate, bank: ResolutionBank): string[] {
  const doubts: string[] = [];
  if (nothingTells(rotor, bank)) {
    doubts.push(
      "nothing tells what turns from what stays put: fly a slow throttle sweep, or log the motors' speed",
    );
  } else if (bank.base.classes === null) {
    doubts.push(
      "the rotors' speed hardly varied: whatever lies on their lines stays unknown; fly a slow throttle sweep",
    );
  }
  return doubts;
}
