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
import { movingTest, surelyMoves } from "./moving.js";
import { onLine } from "./on-line.js";
import { type ResolutionBank, resolutionBank } from "./resolution-bank.js";
import { agreementOf } from "./second-method.js";
import { seedsOf } from "./seeds.js";
import { findTones } from "./tones.js";
import { unlistedOrders } from "./unlisted-orders.js";
import { unobservableBands } from "./unobservable.js";

/** Stated chance that a flight of plain noise yields any candidate at all. */
export const FALSE_ALARM_RATE = 0.01;
/** Below this share of the lowest rotor speed nothing that turns leaves a line: what moves there is a control loop. */
const LINE_FREE_SHARE = 0.45;
/** Less than even odds of being real is not reported at all. */
const LEAST_CONFIDENCE = 0.5;
const MOST_DRIFT_SD = 0.01;
/** A drift is no straight line: the frequency at median thrust is off by about this share of it. */
const BENT_DRIFT_SHARE = 0.07;
/** Where the speed hardly varies a drift cannot be told: relative deviation allowed for it. */
const UNTOLD_DRIFT_SD = 0.001;
/** A drift is followed when it exceeds this share of the half-power width, and of a bin. */
const SMEAR_SHARE = 0.15;
const SMEAR_BINS = 0.4;

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
  /** Frequencies at median speed of peaks that surely move. */
  readonly linesHz: readonly number[];
}

/** Scans every axis, bounds the false discoveries over all of them, fits, and tells what surely moves. */
function firstPass(bank: ResolutionBank, lineFreeHz: number): ScannedAxis[] {
  const scans = bank.averages.map(scan);
  const limit = discoveryLimit(scans, FALSE_ALARM_RATE);
  return bank.averages.map((average, axis) => {
    const data = { bank, axis, scan: scans[axis]!, lineFreeHz };
    const { accepted, comeAndGo } = identifyAxis(data, seedsOf(average, data.scan, limit));
    const lines = [...accepted.filter((m) => !steady(m)), ...comeAndGo].flatMap((mode) => {
      const test = mode.frequencyHz < lineFreeHz ? null : movingTest(bank, mode);
      return surelyMoves(test) ? [{ mode, hz: test.atHz }] : [];
    });
    return {
      ...data,
      first: accepted.filter((m) => lines.every((l) => l.mode !== m)),
      linesHz: lines.map((l) => l.hz),
    };
  });
}

/** Whether a peak keeps its height at two speeds or more and loses it at none. */
function steady(mode: AxisMode): boolean {
  return mode.persistence.inFavour >= 2 && mode.persistence.against === 0;
}

/** A bank, and its axes after the first pass. */
interface FirstLook {
  readonly bank: ResolutionBank;
  readonly axes: readonly ScannedAxis[];
}

/**
 * Looks once; where peaks turn out to be lines at orders that nobody listed, masks those too and looks again.
 */
function look(timeline: Timeline, rotor: RotorEstimate, tonesHz: readonly number[]): FirstLook | null {
  const lineFreeHz = LINE_FREE_SHARE * (rotor.bandHz?.[0] ?? 0);
  const bank = resolutionBank(timeline, rotor, tonesHz);
  if (bank === null) return null;
  const axes = firstPass(bank, lineFreeHz);
  const extra = unlistedOrders(
    rotor,
    axes.flatMap((a) => a.linesHz),
  );
  if (extra.length === 0) return { bank, axes };
  const masked = resolutionBank(timeline, { ...rotor, orders: [...rotor.orders, ...extra] }, tonesHz) ?? bank;
  return { bank: masked, axes: firstPass(masked, lineFreeHz) };
}

/** What a first-pass mode drifts: as measured over all axes that share it, and as believed. */
interface KnownDrift {
  readonly measured: Drift | null;
  readonly believed: Drift;
}

/** Drift of every first-pass mode, pooled over the axes that share it. */
function pooledDrifts(bank: ResolutionBank, first: readonly AxisMode[]): Map<AxisMode, KnownDrift> {
  const drifts = new Map<AxisMode, KnownDrift>();
  for (const group of mergeAxes(first)) {
    const measured = combineDrifts(group.seen.map((m) => driftOnAxis(m, bank)));
    const believed = believedDrift(measured, group.frequencyHz);
    for (const m of group.seen) drifts.set(m, { measured, believed });
  }
  return drifts;
}

/** What to follow when a mode is fitted again: its drift, where that smears the peak. */
function followOf(mode: AxisMode, drift: KnownDrift, bank: ResolutionBank): Follow {
  const { classes } = bank.base;
  const smear = Math.max(
    SMEAR_SHARE * 2 * mode.dampingRatio * mode.frequencyHz,
    SMEAR_BINS * mode.average.df,
  );
  if (classes === null || Math.abs(drift.believed.hz) <= smear) return null;
  return followDrift(drift.believed.hz, classes);
}

/** Second pass over all axes: neighbours from everywhere, drifting modes followed. */
function secondPass(bank: ResolutionBank, axes: readonly ScannedAxis[]): MergedMode[] {
  const drifts = pooledDrifts(
    bank,
    axes.flatMap((a) => a.first),
  );
  const follow = (mode: AxisMode): Follow => followOf(mode, drifts.get(mode)!, bank);
  const known = new Map<AxisMode, KnownDrift & { followed: boolean }>();
  const second = axes.flatMap((a) => {
    const elsewhere = axes.flatMap((o) => (o.axis === a.axis ? [] : o.first));
    const refined = refineAxis(a, a.first, { elsewhere, follow });
    a.first.forEach((m, j) => {
      known.set(refined[j]!, { ...drifts.get(m)!, followed: refined[j] !== m && follow(m) !== null });
    });
    return refined;
  });
  return mergeAxes(second).map((merged) => withDrift(merged, bank, known.get(merged.seen[0]!)!));
}

/** Carries a merged mode to median thrust and widens its interval by what its drift leaves open. */
function withDrift(
  merged: MergedMode,
  bank: ResolutionBank,
  known: KnownDrift & { followed: boolean },
): MergedMode {
  if (bank.base.classes === null) {
    return { ...merged, sdHz: Math.hypot(merged.sdHz, UNTOLD_DRIFT_SD * merged.frequencyHz) };
  }
  const { believed, measured, followed } = known;
  const offset = thrustOffset(merged.frequencyHz, merged.seen[0]!.axis, bank);
  const frequencyHz = followed ? merged.frequencyHz : merged.frequencyHz - believed.hz * offset;
  const sdHz = Math.hypot(merged.sdHz, believed.sdHz * offset, BENT_DRIFT_SHARE * believed.hz);
  return { ...merged, frequencyHz, sdHz, drift: believed, measuredDrift: measured };
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
  const looked = look(
    timeline,
    rotor,
    tones.map((t) => t.frequencyHz),
  );
  if (looked === null) return { tones, bank: null };
  const { bank, axes } = looked;
  const lineFreeHz = LINE_FREE_SHARE * (rotor.bandHz?.[0] ?? 0);
  const modes = secondPass(bank, axes).map((merged) => {
    const evidence = evidenceFor(merged, bank, { rotor, lineFreeHz });
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
    unobservable: unobservableBands(
      bank.averages[0]!,
      tones.map((t) => t.frequencyHz),
    ),
    fixed: fixedSpectrum(
      bank,
      found.scans,
      believed.flatMap((m) => m.seen),
    ),
    falseAlarmRate: FALSE_ALARM_RATE,
    doubts: doubtsOf(rotor, bank),
  };
}

/** What this log could not decide, in words. */
function doubtsOf(rotor: RotorEstimate, bank: ResolutionBank): string[] {
  const doubts: string[] = [];
  if (rotor.source === "none" && bank.base.classes === null) {
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
