import type { Mode } from "../modes/mode.js";
import type { AxisSummary, Reason } from "../result.js";
import { AXES, type Axis } from "../units.js";
import { rmsRateFor } from "./footage-optics.js";
import type { Measured } from "./measured.js";
import { grade, type Steps, say, sayRange, straddleNote, unknown } from "./reason.js";
import type { Band } from "./third-octave.js";

/**
 * Limits of the quiet band in deg/s RMS: the rate that moves the reference camera's image by so many pixels at the
 * band's geometric middle, which is exact for a flat spectrum (∫ df / f² over f₁..f₂ is (f₂ − f₁) / (f₁ f₂)).
 */
export function quietSteps({ fromHz, toHz }: Band, { limits }: Pick<Measured, "limits">): Required<Steps> {
  const middle = Math.sqrt(fromHz * toHz);
  return {
    marginal: rmsRateFor(limits.quietBandMarginalPx, middle, limits.referenceFocalPx),
    loud: rmsRateFor(limits.quietBandLoudPx, middle, limits.referenceFocalPx),
  };
}

/** One reason an axis: is the band below the rotors empty? */
export function quietBandReasons(
  measured: Measured,
  summaries: Readonly<Record<Axis, AxisSummary>>,
): Reason[] {
  return AXES.map((axis) => onAxis(axis, measured, summaries[axis]));
}

function onAxis(axis: Axis, measured: Measured, { quietBand: found, wash }: AxisSummary): Reason {
  const { quietBand, frames } = measured;
  if (frames.gyro[axis] === null) {
    return unknown("quiet-band", `No gyro of ${axis} in the log.`, { axis, required: axis !== "yaw" });
  }
  if (quietBand === null) {
    return unknown(
      "quiet-band",
      `How fast the rotors turn is not known, so where the quiet band of ${axis} ends is not known.`,
      { axis, unit: "deg/s RMS" },
    );
  }
  if (quietBand.toHz <= quietBand.fromHz) return noBand(axis, measured);
  if (found.rmsDps === null || found.ci95Dps === null) {
    return unknown("quiet-band", `Too little unbroken calm flight to measure the quiet band of ${axis}.`, {
      axis,
    });
  }
  const { rmsDps: rms, ci95Dps: ci95, floorDps: floor } = found;
  return graded(axis, measured, { quietBand, rms, ci95, floor, wash });
}

function noBand(axis: Axis, { quietBand, commanded }: Measured): Reason {
  return {
    id: "quiet-band",
    level: "marginal",
    value: null,
    ci95: null,
    limit: null,
    unit: "deg/s RMS",
    axis,
    message:
      `This craft has no quiet band on ${axis}: commanded motion reaches ${say(commanded.topHz)} Hz and the first ` +
      `motor band begins at ${say(Math.max(0, quietBand!.toHz))} Hz. Any filter for the rotors then delays control.`,
    required: true,
  };
}

/** What stays put in the band on an axis, whatever it is. */
function modesIn({ fromHz, toHz }: Band, axis: Axis, { modes }: Measured): Mode[] {
  return modes.modes
    .filter((mode) => mode.axes.some((seen) => seen.axis === axis))
    .filter(({ frequencyHz }) => frequencyHz > fromHz && frequencyHz < toHz);
}

/** What the band holds, in words; one in which a mode stands is not empty, however low its level. */
function contents(within: boolean, modes: readonly Mode[]): string {
  if (modes.length === 0) return within ? "is empty" : "is not empty";
  const what = modes.every(({ kind }) => kind === "unresolved") ? "something unresolved" : "a mode";
  const found = `${what} stands in it at ${modes.map((mode) => say(mode.frequencyHz)).join(" and at ")} Hz`;
  return within ? `is within its limit, though ${found}` : `is not empty, ${found}`;
}

interface Found {
  readonly quietBand: Band;
  readonly rms: number;
  readonly ci95: readonly [number, number];
  readonly floor: number | null;
  readonly wash: AxisSummary["wash"];
}

function graded(axis: Axis, measured: Measured, { quietBand, rms, ci95, floor, wash }: Found): Reason {
  const steps = quietSteps(quietBand, measured);
  const result = grade(rms, ci95, steps);
  const apart =
    wash.rmsDps === null || wash.seconds === 0
      ? ""
      : ` Chops, wash and gusts (${say(wash.seconds)} s, ${say(wash.rmsDps)} deg/s) are kept out of it.`;
  const noise = floor === null ? "" : ` The sensor at rest has ${say(floor)} deg/s there.`;
  const holds = contents(result.level === "ok", modesIn(quietBand, axis, measured));
  const px = result.level === "loud" ? measured.limits.quietBandLoudPx : measured.limits.quietBandMarginalPx;
  return {
    id: "quiet-band",
    level: result.level,
    value: rms,
    ci95,
    limit: result.limit,
    unit: "deg/s RMS",
    axis,
    message:
      `The quiet band of ${axis}, ${say(quietBand.fromHz)} to ${say(quietBand.toHz)} Hz, ${holds}: ` +
      `${say(rms)} deg/s RMS (${sayRange(ci95)}) against ${say(result.limit)}, ` +
      `which is ${say(px)} px of image movement there.${noise}${apart}${straddleNote(result)}`,
    required: true,
  };
}
