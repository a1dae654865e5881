import type { Craft } from "../craft.js";
import type { FilterStudy } from "../filters/study.js";
import type { Mode, UnobservableBand } from "../modes/mode.js";
import type { Result, RotorSummary, Verdict } from "../result.js";
import { AXES, type Hertz } from "../units.js";
import type { Fingerprint } from "./fingerprint.js";
import { FINGERPRINT_VERSION } from "./fingerprint-of.js";

/** Peaks less sure than this are more likely lines: they are not held against another flight's. */
const EVEN_ODDS = 0.5;

/** What a comparison reads of one flight: all of it stands in a saved result. */
export interface ComparedFlight {
  /** Base name of the log. */
  readonly name: string;
  readonly sha256: string;
  /** Read from a saved result, not from its log. */
  readonly saved: boolean;
  readonly sampleRateHz: Hertz;
  /** Which gyro the levels are of; null when the log has none. */
  readonly gyro: "raw" | "filtered" | null;
  readonly airborneS: number;
  readonly craft: Craft;
  readonly rotor: RotorSummary;
  readonly modes: readonly Mode[];
  readonly unobservable: readonly UnobservableBand[];
  /** Top of commanded motion over the axes; null when unknown. */
  readonly motionTopHz: Hertz | null;
  /** Null: the result was saved without one, or the flight is too short for one. */
  readonly fingerprint: Fingerprint | null;
  readonly filters: FilterStudy | null;
  readonly verdict: Verdict;
}

/** Takes from a result, fresh or saved, what a comparison reads. */
export function comparedFlight(result: Result, saved = false): ComparedFlight {
  const tops = AXES.map((axis) => result.axes[axis].quietBand.fromHz).filter((hz) => hz !== null);
  const fingerprint = result.fingerprint ?? null;
  return {
    name: result.log.file,
    sha256: result.log.sha256,
    saved,
    gyro: fingerprint?.gyro ?? gyroOf(result),
    sampleRateHz: result.log.sampleRateHz,
    airborneS: result.analysed.airborneS,
    craft: (result.settings.craft ?? {}) as Craft,
    rotor: result.rotor,
    modes: result.modes.filter((mode) => mode.confidence >= EVEN_ODDS),
    unobservable: result.modesUnobservable,
    motionTopHz: tops.length === 0 ? null : Math.max(...tops),
    fingerprint: fingerprint?.version === FINGERPRINT_VERSION ? fingerprint : null,
    filters: result.filters as FilterStudy | null,
    verdict: result.verdict,
  };
}

function gyroOf(result: Result): "raw" | "filtered" | null {
  const bands = AXES.flatMap((axis) => result.axes[axis].bands);
  if (bands.some((band) => band.gyroRawDps !== null)) return "raw";
  return bands.some((band) => band.gyroFilteredDps !== null) ? "filtered" : null;
}
