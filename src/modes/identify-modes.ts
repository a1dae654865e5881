import type { Craft } from "../craft.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { Timeline } from "../timeline/timeline.js";
import { perAxis } from "../units.js";
import type { AxisMode } from "./axis-mode.js";
import { candidates, scan } from "./candidates.js";
import { confidenceOf } from "./confidence.js";
import { driftOf } from "./drift.js";
import { excitation } from "./excited-by.js";
import { fixedSpectrum } from "./fixed-spectrum.js";
import { identifyAxis, refineAxis } from "./identify-axis.js";
import { type KindEvidence, kindOf } from "./kinds.js";
import { dampingInterval, frequencyInterval, type MergedMode, mergeAxes } from "./merge.js";
import type { Mode, ModesEstimate } from "./mode.js";
import { onLine } from "./on-line.js";
import { type ResolutionBank, resolutionBank } from "./resolution-bank.js";
import { agreementOf } from "./second-method.js";
import { findTones } from "./tones.js";
import { unobservableBands } from "./unobservable.js";

/** Stated chance that a flight of plain noise yields any candidate at all. */
export const FALSE_ALARM_RATE = 0.01;

const NOTHING: ModesEstimate = {
  modes: [],
  tones: [],
  unobservable: [],
  fixed: perAxis(() => null),
  falseAlarmRate: FALSE_ALARM_RATE,
  doubts: [],
};

/** Scans every axis, keeps what survives the false-discovery bound, fits, and refits all together. */
function modesOfAxes(bank: ResolutionBank): { modes: AxisMode[]; scans: ReturnType<typeof scan>[] } {
  const scans = bank.averages.map(scan);
  const perAxisP = FALSE_ALARM_RATE / bank.axes.length;
  const data = bank.axes.map((_, axis) => ({ bank, axis, scan: scans[axis]! }));
  const first = data.map((d) => {
    const df = bank.averages[d.axis]!.df;
    return identifyAxis(d, candidates(d.scan, df, perAxisP));
  });
  const second = data.map((d) =>
    refineAxis(
      d,
      first[d.axis]!,
      first.flatMap((modes, axis) => (axis === d.axis ? [] : modes)),
    ),
  );
  return { modes: second.flat(), scans };
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
    driftHz: driftOf(merged, bank.base.classes)?.hz ?? null,
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
  const { modes, scans } = modesOfAxes(bank);
  const evidence: KindEvidence = { timeline, rotor, craft, bank };
  const merged = mergeAxes(modes);
  return {
    modes: merged.map((m) => report(m, bank, evidence)),
    tones,
    unobservable: unobservableBands(bank.averages[0]!),
    fixed: fixedSpectrum(bank, scans, modes),
    falseAlarmRate: FALSE_ALARM_RATE,
    doubts: [],
  };
}
