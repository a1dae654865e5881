import type { Craft } from "../craft.js";
import type { Settings } from "../result.js";

/** One limit of the verdict: its number, and why it is that number. */
export interface Limit {
  readonly value: number;
  readonly unit: string;
  /** The consequence that the limit stands for. */
  readonly why: string;
  /** Published source, or "common practice, no source". */
  readonly source: string;
}

const PRACTICE = "common practice, no source";
const SHARE = "share";
/** Peak-to-peak movement of the image of a hard-mounted camera, for a sine of the same RMS. */
const PIXELS = "px peak to peak";

/**
 * Every limit of the verdict. A level in pixels is turned into deg/s at the frequency it stands at, with the
 * reference lens: the same shake costs a slow, large craft more pixels than a small, fast one, so one number
 * serves both. Each entry can be overridden by name under `limits` in the craft file. One long table on purpose.
 */
export const LIMITS = {
  airborneWarnS: {
    value: 30,
    unit: "s",
    why: "light damping needs hundreds of periods: 30 s hold 1500 periods at 50 Hz, a dozen independent averages of the slowest bands",
    source: "record-length rule of 1000 to 2000 periods of the lowest mode, Cantieni (from memory)",
  },
  airborneFailS: {
    value: 10,
    unit: "s",
    why: "under 10 s take-off and landing fill the record and no interval is narrow enough to place a level",
    source: PRACTICE,
  },
  calmWarnS: {
    value: 15,
    unit: "s",
    why: "fewer calm seconds leave the quiet-band figure with an interval wider than the step between limits",
    source: PRACTICE,
  },
  calmFailS: {
    value: 5,
    unit: "s",
    why: "with less calm flight the figure describes gusts and wash, not the build",
    source: PRACTICE,
  },
  throttleRangeWarn: {
    value: 0.1,
    unit: "throttle 0..1",
    why: "lines that climb and lines that stay put part only when the throttle moves; speed goes about as its root, so 0.1 about hover moves a line by some 10 %",
    source: PRACTICE,
  },
  throttleLevelsWarn: {
    value: 2,
    unit: "levels",
    why: "a level is a tenth of throttle held for two seconds in all; one level alone shows one operating point of the rotors",
    source: PRACTICE,
  },
  gapWarnShare: {
    value: 0.01,
    unit: SHARE,
    why: "each lost run costs the whole frame about it: 1 % lost at random can cost a fifth of the frames",
    source: PRACTICE,
  },
  gapFailShare: {
    value: 0.2,
    unit: SHARE,
    why: "what is lost is not random (the writer stalls under load), so the rest no longer stands for the flight",
    source: PRACTICE,
  },
  jitterWarnShare: {
    value: 0.05,
    unit: SHARE,
    why: "uneven steps spread a line into a skirt that looks like a raised floor",
    source: PRACTICE,
  },
  jitterFailShare: {
    value: 0.6,
    unit: SHARE,
    why: "rounding of the time stamps alone can make up to half of the steps differ from the median; beyond that the clock itself is not known well enough to place a line",
    source: PRACTICE,
  },
  clipWarnShare: {
    value: 0.00001,
    unit: SHARE,
    why: "a sample at the sensor's end stop is a peak cut off: levels are lower bounds from there on",
    source: PRACTICE,
  },
  clipFailShare: {
    value: 0.001,
    unit: SHARE,
    why: "cut peaks throw power over all frequencies: a quiet band can then be neither shown nor excluded",
    source: PRACTICE,
  },
  stepWarnShare: {
    value: 0.5,
    unit: "share of the quiet-band limit",
    why: "rounding noise of RMS step / sqrt(12) then is a visible part of the figure",
    source: "uniform rounding error, e.g. Oppenheim & Schafer, Discrete-Time Signal Processing",
  },
  stepFailShare: {
    value: 1,
    unit: "share of the quiet-band limit",
    why: "the rounding alone reaches the limit",
    source: "uniform rounding error, e.g. Oppenheim & Schafer, Discrete-Time Signal Processing",
  },
  rotorConfidenceWarn: {
    value: 0.8,
    unit: "probability",
    why: "one answer in five at this confidence is another speed",
    source: PRACTICE,
  },
  rotorConfidenceFail: {
    value: 0.5,
    unit: "probability",
    why: "as likely wrong as right: every band named after the rotors is then a guess",
    source: PRACTICE,
  },
  commandedTopHz: {
    value: 20,
    unit: "Hz",
    why: "upper end of what the pilot and the rate loop ask of a heavy craft, used where the log does not show it",
    source: PRACTICE,
  },
  referenceFocalPx: {
    value: 3733,
    unit: "px",
    why: "a 35 mm lens on a 36 mm wide sensor of 3840 px: focal length in pixels, 35 x 3840 / 36",
    source: "f_px = f x width_px / sensor width, pinhole camera",
  },
  quietBandMarginalPx: {
    value: 2,
    unit: PIXELS,
    why: "the image of a hard-mounted reference camera moves by at most the accepted pixel to either side: the band is empty for all practical ends",
    source: "blur of at most 1 px: Phase One knowledge base KA-01341; used here to either side",
  },
  quietBandLoudPx: {
    value: 6,
    unit: PIXELS,
    why: "three times that: no usual camera isolator is soft enough below the motor band to bring it back under a pixel",
    source: PRACTICE,
  },
  standingModePx: {
    value: 0.5,
    unit: PIXELS,
    why: "one resonance alone takes a quarter of what the whole quiet band may have; it has a cause that can be found and mended",
    source: "half-pixel habit of photogrammetry (from memory)",
  },
  balanceMarginalPx: {
    value: 5,
    unit: PIXELS,
    why: "half a pixel behind an isolator that takes off nine tenths at the once-per-turn frequency",
    source:
      "half-pixel habit of photogrammetry (from memory) and a 10 : 1 isolator: common practice, no source",
  },
  balanceLoudPx: {
    value: 10,
    unit: PIXELS,
    why: "one pixel, the accepted blur, behind that isolator",
    source:
      "blur of at most 1 px: Phase One knowledge base KA-01341; 10 : 1 isolator: common practice, no source",
  },
  modeResponsePx: {
    value: 2,
    unit: PIXELS,
    why: "one resonance alone fills the whole allowance of the quiet band; well-balanced rotors stay under it, swollen ones do not",
    source: PRACTICE,
  },
  separationMargin: {
    value: 0.15,
    unit: "share of the mode's frequency",
    why: "at 15 % from the band a lightly damped mode answers with some 3 times the push instead of 10 to 50",
    source: "common practice, no source; the factor is 1 / |1 - r^2| of one degree of freedom",
  },
  unobservableShare: {
    value: 0.5,
    unit: SHARE,
    why: "when the rotors hide more than half of their own band, or of it and its margins, a mode there is unknown, not absent",
    source: PRACTICE,
  },
  dtermMarginalShare: {
    value: 0.02,
    unit: "share of the motor range",
    why: "peaks of three times the RMS then take 6 % of what the motors have, on one axis",
    source: PRACTICE,
  },
  dtermLoudShare: {
    value: 0.06,
    unit: "share of the motor range",
    why: "peaks take nearly a fifth of the motor range: motors heat and control runs out of room at the stops",
    source: PRACTICE,
  },
  dtermModeShare: {
    value: 0.04,
    unit: "share of the motor range",
    why: "one mode alone takes two thirds of what makes the whole D-term loud",
    source: PRACTICE,
  },
  swayMarginalDps: {
    value: 3,
    unit: "deg/s RMS",
    why: "at 8 Hz 3 deg/s is 0.06 deg: a gimbal holds it, but its motors work for it",
    source: PRACTICE,
  },
  swayLoudDps: {
    value: 12,
    unit: "deg/s RMS",
    why: "a quarter of a degree back and forth: the payload flies the craft",
    source: PRACTICE,
  },
  loopMarginalDps: {
    value: 2,
    unit: "deg/s RMS",
    why: "an oscillation that keeps itself going grows with the next change of mass or gain",
    source: PRACTICE,
  },
  loopLoudDps: {
    value: 8,
    unit: "deg/s RMS",
    why: "visible from the ground, and the loop has no phase margin left",
    source: PRACTICE,
  },
  loopPhaseDeg: {
    value: 30,
    unit: "deg",
    why: "motors and propellers lag by up to 90 degrees; what the filters add on top turns damping into pushing",
    source: "first-order lag of the rotors: any text on control; the number: common practice, no source",
  },
  loopReach: {
    value: 3,
    unit: "times the top of commanded motion",
    why: "further up the rate loop of a multirotor has no gain left to meet a mode with",
    source: PRACTICE,
  },
  toneMarginalPx: {
    value: 1,
    unit: PIXELS,
    why: "the accepted blur, as for the quiet band",
    source: "blur of at most 1 px: Phase One knowledge base KA-01341",
  },
  footageMarginalPx: {
    value: 10,
    unit: PIXELS,
    why: "what a 10 : 1 isolator brings down to one pixel",
    source:
      "blur of at most 1 px: Phase One knowledge base KA-01341; 10 : 1 isolator: common practice, no source",
  },
} as const satisfies Record<string, Limit>;

export type LimitName = keyof typeof LIMITS;
/** Numbers in force, by name. */
export type Limits = Readonly<Record<LimitName, number>>;

const NAMES = Object.keys(LIMITS) as LimitName[];

/** The limits in force for a craft: the defaults, with what its file overrides. */
export function limitsFor(craft: Craft): Limits {
  return Object.fromEntries(
    NAMES.map((name) => [name, overrideOf(craft, name) ?? LIMITS[name].value]),
  ) as Limits;
}

/** The same with units and where each came from, for `settings` of the result. */
export function limitsInForce(craft: Craft): Settings["limits"] {
  return Object.fromEntries(
    NAMES.map((name) => {
      const override = overrideOf(craft, name);
      const from = override === undefined ? "default" : "craft";
      return [name, { value: override ?? LIMITS[name].value, unit: LIMITS[name].unit, from }] as const;
    }),
  );
}

/** Overrides that were not used: a name that no limit has, or a number that is not finite and above 0. */
export function unusedOverrides(craft: Craft): string[] {
  return Object.keys(craft.limits ?? {}).filter(
    (name) => !Object.hasOwn(LIMITS, name) || overrideOf(craft, name as LimitName) === undefined,
  );
}

function overrideOf(craft: Craft, name: LimitName): number | undefined {
  const limits = craft.limits ?? {};
  const value = Object.hasOwn(limits, name) ? limits[name] : undefined;
  return value !== undefined && Number.isFinite(value) && value > 0 ? value : undefined;
}
