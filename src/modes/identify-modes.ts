import type { Craft } from "../craft.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { Timeline } from "../timeline/timeline.js";
import { perAxis } from "../units.js";
import type { AxisMode } from "./axis-mode.js";
import { discoveryLimit, type Scan, scan } from "./candidates.js";
import { confidenceOf, type Evidence, evidenceFor } from "./confidence.js";
import { believedDrift, combineDrifts, type Drift, driftOnAxis, followDrift, thrustOffset } from "./drift.js";
import { excitation } from "./excited-by.js";
import { fixedSpectrum } from "./fixed-spectrum.js";
import { type AxisData, type Follow, identifyAxis, refineAxis } from "./identify-axis.js";
import { type KindEvidence, kindOf } from "./kinds.js";
import { dampingInterval, frequencyInterval, type MergedMode, mergeAxes } from "./merge.js";
import type { Mode, ModesEstimate, Tone } from "./mode.js";
import { movingTest } from "./moving.js";
import { onLine } from "./on-line.js";
import { type ResolutionBank, resolutionBank } from "./resolution-bank.js";
import { agreementOf } from "./second-method.js";
import { seedsOf } from "./seeds.js";
import { findTones } from "./tones.js";
import { unobservableBands } from "./unobservable.js";

/** Stated chance that a flight of plain noise yields any candidate at all. */
export const FALSE_ALARM_RATE = 0.01;
/** A peak surely moves when aligning the frames to rotor speed sharpens it by so many standard deviations, and ln. */
const MOVING_SD = 3;
const MOVING_GAIN = 0.5;
/** Less than even odds of being real is not reported at all. */
const LEAST_CONFIDENCE = 0.5;
const MOST_DRIFT_SD = 0.01;

const NOTHING: ModesEstimate = {
  modes: [],
  tones: [],
  unobservable: [],
  fixed: perAxis(() => null),
  falseAlarmRate: FALSE_ALARM_RATE,
  doubts: [],
};

/** One axis, scanned. */
interface ScannedAxis extends AxisData {
  readonly first: readonly AxisMode[];
}

/** Scans every axis, bounds the false discoveries over all of them, fits, and drops what surely moves. */
function firstPass(bank: ResolutionBank): ScannedAxis[] {
  const scans = bank.averages.map(scan);
  const limit = discoveryLimit(scans, FALSE_ALARM_RATE);
  return bank.averages.map((average, axis) => {
    const data = { bank, axis, scan: scans[axis]! };
    const seeds = seedsOf(average, data.scan, limit);
    return { ...data, first: identifyAxis(data, seeds).filter((m) => !moves(bank, m)) };
  });
}

/** Whether a peak surely moves: much sharper along constant order, and not there at every speed. */
function moves(bank: ResolutionBank, mode: AxisMode): boolean {
  if (mode.persistence.inFavour >= 2 && mode.persistence.against === 0) return false;
  const test = movingTest(bank, mode);
  return test !== null && test.gain > MOVING_GAIN && test.gain > MOVING_SD * test.sd;
}

/** Drift of every first-pass mode, pooled over the axes that share it. */
function pooledDrifts(bank: ResolutionBank, first: readonly AxisMode[]): Map<AxisMode, Drift> {
  const drifts = new Map<AxisMode, Drift>();
  for (const group of mergeAxes(first)) {
    const measured = combineDrifts(group.seen.map((m) => driftOnAxis(m, bank)));
    const believed = believedDrift(measured, group.frequencyHz);
    for (const m of group.seen) drifts.set(m, believed);
  }
  return drifts;
}

/** Second pass over all axes: neighbours from everywhere, drifting modes followed. */
function secondPass(bank: ResolutionBank, axes: readonly ScannedAxis[]): MergedMode[] {
  const first = axes.flatMap((a) => a.first);
  const drifts = pooledDrifts(bank, first);
  const { classes } = bank.base;
  const follow = (mode: AxisMode): Follow => {
    const drift = drifts.get(mode);
    if (classes === null || drift === undefined) return null;
    const smear = Math.max(0.15 * 2 * mode.dampingRatio * mode.frequencyHz, 0.4 * mode.average.df);
    return Math.abs(drift.hz) > smear ? followDrift(drift.hz, classes) : null;
  };
  const second = axes.map((a) => {
    const elsewhere = axes.flatMap((o) => (o.axis === a.axis ? [] : o.first));
    return refineAxis(a, a.first, { elsewhere, follow });
  });
  const driftOfRefined = new Map<AxisMode, { drift: Drift; followed: boolean }>();
  axes.forEach((a, i) => {
    a.first.forEach((m, j) => {
      driftOfRefined.set(second[i]![j]!, { drift: drifts.get(m)!, followed: follow(m) !== null });
    });
  });
  return mergeAxes(second.flat()).map((merged) => withDrift(merged, bank, driftOfRefined));
}

/** Carries a merged mode to median thrust and widens its interval by what its drift leaves open. */
function withDrift(
  merged: MergedMode,
  bank: ResolutionBank,
  known: ReadonlyMap<AxisMode, { drift: Drift; followed: boolean }>,
): MergedMode {
  const strongest = merged.seen[0]!;
  const entry = known.get(strongest);
  if (bank.base.classes === null || entry === undefined) return merged;
  const { drift, followed } = entry;
  const offset = thrustOffset(merged.frequencyHz, strongest.axis, bank);
  const frequencyHz = followed ? merged.frequencyHz : merged.frequencyHz - drift.hz * offset;
  return { ...merged, frequencyHz, sdHz: Math.hypot(merged.sdHz, drift.sdHz * offset), drift };
}

/** Drift as reported: only when its deviation is under 1 % of the frequency. */
function driftHz({ drift, frequencyHz }: MergedMode): number | null {
  return drift !== null && drift.sdHz < MOST_DRIFT_SD * frequencyHz ? drift.hz : null;
}

/** A merged mode with what is believed of it. */
export interface JudgedMode extends MergedMode {
  readonly evidence: Evidence;
  readonly confidence: number;
}

function report(mode: JudgedMode, context: KindEvidence): Mode {
  return {
    frequencyHz: mode.frequencyHz,
    ci95Hz: frequencyInterval(mode),
    dampingRatio: mode.dampingRatio,
    dampingCi95: dampingInterval(mode),
    kind: kindOf(mode, mode.confidence, context),
    axes: mode.seen.map((m) => ({ axis: context.bank.axes[m.axis]!, prominenceDb: m.prominenceDb })),
    confidence: mode.confidence,
    agreement: agreementOf(mode),
    driftHz: driftHz(mode),
    excitedBy: excitation(mode, context.rotor),
  };
}

/** Everything found, before it is worded: for the report and for calibrating the confidence. */
export interface Findings {
  readonly tones: readonly Tone[];
  readonly bank: ResolutionBank;
  readonly scans: readonly Scan[];
  readonly modes: readonly JudgedMode[];
}

/** @returns modes of any confidence, or null with the tones alone when the log is too short */
export function findModes(
  timeline: Timeline,
  rotor: RotorEstimate,
): Findings | { tones: readonly Tone[]; bank: null } {
  const tones = findTones(timeline, (hz) => onLine(hz, rotor, timeline.sampleRate));
  const bank = resolutionBank(
    timeline,
    rotor,
    tones.map((t) => t.frequencyHz),
  );
  if (bank === null) return { tones, bank };
  const axes = firstPass(bank);
  const modes = secondPass(bank, axes).map((merged) => {
    const evidence = evidenceFor(merged, bank, rotor);
    return { ...merged, evidence, confidence: confidenceOf(evidence) };
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
  if (bank === null) return { ...NOTHING, tones, doubts: ["the log is too short to look for modes"] };
  const believed = found.modes.filter((m) => m.confidence >= LEAST_CONFIDENCE);
  const context: KindEvidence = { timeline, rotor, craft, bank };
  return {
    modes: believed.map((m) => report(m, context)),
    tones,
    unobservable: unobservableBands(bank.averages[0]!),
    fixed: fixedSpectrum(
      bank,
      found.scans,
      believed.flatMap((m) => m.seen),
    ),
    falseAlarmRate: FALSE_ALARM_RATE,
    doubts: [],
  };
}
