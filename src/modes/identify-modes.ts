import type { Craft } from "../craft.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { Timeline } from "../timeline/timeline.js";
import { perAxis } from "../units.js";
import type { AxisMode } from "./axis-mode.js";
import { candidates, scan } from "./candidates.js";
import { confidenceOf } from "./confidence.js";
import { believedDrift, combineDrifts, type Drift, driftOnAxis, followDrift, thrustOffset } from "./drift.js";
import { excitation } from "./excited-by.js";
import { fixedSpectrum } from "./fixed-spectrum.js";
import { type AxisData, type Follow, identifyAxis, refineAxis } from "./identify-axis.js";
import { type KindEvidence, kindOf } from "./kinds.js";
import { dampingInterval, frequencyInterval, type MergedMode, mergeAxes } from "./merge.js";
import type { Mode, ModesEstimate } from "./mode.js";
import { movingTest } from "./moving.js";
import { onLine } from "./on-line.js";
import { type ResolutionBank, resolutionBank } from "./resolution-bank.js";
import { agreementOf } from "./second-method.js";
import { seedsOf } from "./seeds.js";
import { findTones } from "./tones.js";
import { unobservableBands } from "./unobservable.js";

/** Stated chance that a flight of plain noise yields any candidate at all. */
export const FALSE_ALARM_RATE = 0.01;
/** A peak moves when aligning the frames to rotor speed sharpens it by this many standard deviations. */
const MOVING_SD = 1;
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

/** Scans an axis and fits what stands out; what moves with the rotors is dropped. */
function firstPass(bank: ResolutionBank, axis: number): ScannedAxis {
  const average = bank.averages[axis]!;
  const found = scan(average);
  const data = { bank, axis, scan: found };
  const mostP = FALSE_ALARM_RATE / bank.axes.length;
  const seeds = seedsOf(average, found, candidates(found, average.df, mostP), mostP);
  return { ...data, first: identifyAxis(data, seeds).filter((m) => !moves(bank, m)) };
}

/** Whether a peak is surely sharper along constant order than along constant frequency. */
function moves(bank: ResolutionBank, mode: AxisMode): boolean {
  const test = movingTest(bank, mode);
  return test !== null && test.gain > MOVING_SD * test.sd;
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

function report(merged: MergedMode, bank: ResolutionBank, evidence: KindEvidence): Mode {
  const { rotor } = evidence;
  return {
    frequencyHz: merged.frequencyHz,
    ci95Hz: frequencyInterval(merged),
    dampingRatio: merged.dampingRatio,
    dampingCi95: dampingInterval(merged),
    kind: kindOf(merged, evidence),
    axes: merged.seen.map((m) => ({ axis: bank.axes[m.axis]!, prominenceDb: m.prominenceDb })),
    confidence: confidenceOf(merged),
    agreement: agreementOf(merged),
    driftHz: driftHz(merged),
    excitedBy: excitation(merged, rotor),
  };
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
  const tones = findTones(timeline, (hz) => onLine(hz, rotor, timeline.sampleRate));
  const bank = resolutionBank(
    timeline,
    rotor,
    tones.map((t) => t.frequencyHz),
  );
  if (bank === null) return { ...NOTHING, tones, doubts: ["the log is too short to look for modes"] };
  const axes = bank.axes.map((_, axis) => firstPass(bank, axis));
  const merged = secondPass(bank, axes);
  const evidence: KindEvidence = { timeline, rotor, craft, bank };
  return {
    modes: merged.map((m) => report(m, bank, evidence)),
    tones,
    unobservable: unobservableBands(bank.averages[0]!),
    fixed: fixedSpectrum(
      bank,
      axes.map((a) => a.scan),
      merged.flatMap((m) => m.seen),
    ),
    falseAlarmRate: FALSE_ALARM_RATE,
    doubts: [],
  };
}
