import type { Craft } from "../craft.js";
import { InputError } from "../errors.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { Timeline } from "../timeline/timeline.js";
import type { Hertz } from "../units.js";
import type { FilterStudy } from "./study.js";

export interface FilterStudyOptions {
  /** Rate of the loop that runs the filters, Hz. Default: the craft's, else the multiple of the log rate at or above 4 kHz. */
  readonly loopRateHz?: Hertz;
  /** Crossover of the rate loop, Hz. Default: the craft's, else from rotor speed. */
  readonly crossoverHz?: Hertz;
  /** Top of commanded motion, Hz: what lies above is vibration. Default 20. */
  readonly motionTopHz?: Hertz;
  /** D-term RMS that may remain, as a share of the motor range. Default 0.02. */
  readonly dtermShare?: number;
}

const DEFAULT_MOTION_TOP_HZ = 20;
const LEAST_LOOP_RATE = 4000;
/** A log of 999.9 rows a second was picked from a loop of 4 kHz, not of 8: slack in octaves. */
const CLOCK_SLACK = 0.02;

/** Rates and bands in force. */
export interface Setting {
  readonly loopRate: Hertz;
  readonly loopRateFrom: FilterStudy["loopRateFrom"];
  readonly crossoverHz: Hertz;
  readonly crossoverFrom: FilterStudy["crossoverFrom"];
  readonly fromHz: Hertz;
  /** Entries of the craft file that do not fit this log and were not used. */
  readonly unfit: readonly string[];
}

/**
 * What was told, and what is assumed instead.
 *
 * @throws {InputError} "usage" when an option does not fit the log; an entry of the craft file that does not is left out
 */
export function settingOf(
  timeline: Timeline,
  { rotor, craft, options }: { rotor: RotorEstimate; craft: Craft; options: FilterStudyOptions },
): Setting {
  const { sampleRate } = timeline;
  const loop = chosen({
    option: options.loopRateHz,
    craft: craft.loopRateHz,
    // a log may be a hair faster than the loop it was picked from, by the clock's own error
    fits: (hz) => hz >= 0.98 * sampleRate,
    name: "loop rate",
    rule: `at least the log's ${Math.round(sampleRate)} rows a second`,
  });
  const crossover = chosen({
    option: options.crossoverHz,
    craft: craft.crossoverHz,
    fits: (hz) => hz > 0 && hz < sampleRate / 4,
    name: "crossover",
    rule: `between 0 and a quarter of the log's rate, ${Math.round(sampleRate / 4)} Hz`,
  });
  return {
    loopRate: Math.max(loop.hz ?? assumedLoopRate(sampleRate), sampleRate),
    loopRateFrom: loop.from,
    crossoverHz: crossover.hz ?? assumedCrossover(rotor),
    crossoverFrom: crossover.from,
    fromHz: options.motionTopHz ?? DEFAULT_MOTION_TOP_HZ,
    unfit: [...loop.unfit, ...crossover.unfit],
  };
}

interface Choice {
  readonly option: Hertz | undefined;
  readonly craft: Hertz | undefined;
  readonly fits: (hz: Hertz) => boolean;
  readonly name: string;
  readonly rule: string;
}

function chosen({ option, craft, fits, name, rule }: Choice): {
  readonly hz: Hertz | null;
  readonly from: "option" | "craft" | "assumed";
  readonly unfit: readonly string[];
} {
  if (option !== undefined && !fits(option)) {
    throw new InputError("usage", `the ${name} of ${option} Hz does not fit this log`, `give one of ${rule}`);
  }
  if (option !== undefined) return { hz: option, from: "option", unfit: [] };
  if (craft !== undefined && fits(craft)) return { hz: craft, from: "craft", unfit: [] };
  const unfit = craft === undefined ? [] : [`${name} of ${craft} Hz (it must be ${rule})`];
  return { hz: null, from: "assumed", unfit };
}

/** The smallest power-of-two multiple of the log rate at or above 4 kHz (common practice, no source). */
function assumedLoopRate(logRate: Hertz): Hertz {
  return logRate * 2 ** Math.max(0, Math.ceil(Math.log2(LEAST_LOOP_RATE / logRate) - CLOCK_SLACK));
}

/**
 * Crossover of a rate loop from the size of the craft, read off its rotor speed: 0.25 of it, within 10..60 Hz: about
 * 12 Hz at 28 inch and 60 Hz at 5 inch (common practice, no source).
 */
function assumedCrossover({ medianHz }: RotorEstimate): Hertz {
  return medianHz === null ? 20 : Math.round(Math.min(60, Math.max(10, 0.25 * medianHz)));
}
