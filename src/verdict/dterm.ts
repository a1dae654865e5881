import type { Craft } from "../craft.js";
import type { Reason } from "../result.js";
import { shortTimeSpectrum } from "../spectra/short-time.js";
import type { ShortTimeSpectrum } from "../spectra/spectrum.js";
import type { Timeline } from "../timeline/timeline.js";
import { AXES, type Axis, type PerAxis, perAxis } from "../units.js";
import type { FlightFrames } from "./flight-frames.js";
import type { Measured } from "./measured.js";
import { bladesToReckonWith } from "./push-bands.js";
import { levelWhere } from "./quiet-band.js";
import { against, grade, say, sayRange, straddleNote, unknown } from "./reason.js";

/** Short-time spectra of the D-term, and what its numbers mean. */
export interface DtermFrames {
  readonly spectra: PerAxis<ShortTimeSpectrum | null>;
  /** D-term value that is the whole motor range; null when the scale is not known. */
  readonly fullScale: number | null;
  readonly fullScaleFrom: "craft" | "log" | null;
}

/** Transforms the D-term where it is logged. */
export function dtermFrames(timeline: Timeline, craft: Craft, frames: FlightFrames): DtermFrames {
  const spectra = perAxis((axis) => {
    const series = timeline.dterm[axis];
    return series === null ? null : shortTimeSpectrum(series, frames.grid);
  });
  if (craft.dtermFullScale !== undefined) {
    return { spectra, fullScale: craft.dtermFullScale, fullScaleFrom: "craft" };
  }
  const range = timeline.motorRange;
  return { spectra, fullScale: range, fullScaleFrom: range === null ? null : "log" };
}

/**
 * D-term outside commanded motion in calm flight, per axis, as a share of the motor range; without a known scale
 * only a figure to compare flights by.
 */
export function dtermReasons(measured: Measured): Reason[] {
  const { dterm } = measured;
  if (AXES.every((axis) => dterm.spectra[axis] === null)) {
    return [
      unknown(
        "dterm-vibration",
        "No D-term is logged, so whether vibration reaches the motors is not known.",
        { required: false },
      ),
    ];
  }
  return AXES.map((axis) => onAxis(axis, measured));
}

function onAxis(axis: Axis, measured: Measured): Reason {
  const { dterm, frames, commanded, timeline } = measured;
  const spectrum = dterm.spectra[axis];
  const optional = { axis, required: false } as const;
  if (spectrum === null) return unknown("dterm-vibration", `No D on this axis (${axis}).`, optional);
  const band = { fromHz: commanded.topHz, toHz: timeline.sampleRate };
  const level = levelWhere(spectrum, band, (k) => frames.kind[k] === "calm");
  if (level === null) {
    return unknown("dterm-vibration", `Too little unbroken calm flight to measure the D-term of ${axis}.`, {
      axis,
    });
  }
  if (dterm.fullScale === null) return unscaled(axis, level.rms, measured);
  const share = level.rms / dterm.fullScale;
  const ci95 = [level.ci95[0] / dterm.fullScale, level.ci95[1] / dterm.fullScale] as const;
  return { ...graded(axis, share, ci95, measured), required: true };
}

function unscaled(axis: Axis, rms: number, measured: Measured): Reason {
  const { commanded } = measured;
  return {
    ...unknown(
      "dterm-vibration",
      `The D-term of ${axis} above ${say(commanded.topHz)} Hz has an RMS of ${say(rms)} in the log's own units; ` +
        `their scale to the motor command is not known, so it serves only to compare flights.${folded(measured)}`,
      { axis, required: false, unit: "log's own units" },
    ),
    value: rms,
  };
}

function graded(axis: Axis, share: number, ci95: readonly [number, number], measured: Measured): Reason {
  const { limits, commanded } = measured;
  const steps = { marginal: limits.dtermMarginalShare, loud: limits.dtermLoudShare };
  const result = grade(share, ci95, steps);
  const message =
    `The D-term of ${axis} above ${say(commanded.topHz)} Hz takes ${percent(share)} of the motor range ` +
    `(RMS; ${sayRange([100 * ci95[0], 100 * ci95[1]])} %), ${against(result)} ${percent(result.limit)}.`;
  return {
    id: "dterm-vibration",
    level: result.level,
    value: share,
    ci95,
    limit: result.limit,
    unit: "share of motor range",
    axis,
    message: message + folded(measured) + straddleNote(result),
    required: true,
  };
}

function folded({ timeline, cruise, rotor }: Measured): string {
  const highest = cruise === null ? null : cruise.bandHz[1] * bladesToReckonWith(rotor.blades);
  if (highest === null || highest < timeline.sampleRate / 2) return "";
  return " The log is slow against the blade pass: what lies above its Nyquist is folded into this figure.";
}

const percent = (share: number): string => `${say(100 * share)} %`;
