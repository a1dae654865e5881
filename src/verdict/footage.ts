import type { Reason } from "../result.js";
import type { ShortTimeSpectrum } from "../spectra/spectrum.js";
import { AXES, type Axis, type Interval, type PerAxis, perAxis } from "../units.js";
import { type Level, meanLevel } from "./band-level.js";
import { craftFocalPixels, PEAK_TO_PEAK } from "./footage-optics.js";
import type { Measured } from "./measured.js";
import { grade, say, sayRange, straddleNote, unknown } from "./reason.js";
import { thirdOctaves } from "./third-octave.js";

/** What a camera fixed hard to the frame, looking ahead, would see: image movement in pixels. */
export interface Footage {
  readonly lens: { readonly focalPx: number; readonly from: "craft" | "reference" };
  /** Above this frequency; slower motion is flying, and a gimbal's work. */
  readonly fromHz: number;
  readonly axes: PerAxis<{
    readonly rmsPx: number;
    readonly ci95Px: Interval;
    readonly bands: readonly { readonly fromHz: number; readonly toHz: number; readonly rmsPx: number }[];
  } | null>;
}

const RAD_PER_DEG = Math.PI / 180;
/** Without the craft's camera: the reference lens's image is this wide (3840 px). */
const REFERENCE_WIDTH_PX = 3840;

/**
 * RMS image movement per axis in calm flight. Pitch and yaw move the whole image by f_px · angle; roll turns it
 * about its middle and moves its edge by half a width · angle. Angle density is rate density / (2πf)².
 */
export function footageOf(measured: Measured): Footage {
  const { craft, limits, commanded, frames } = measured;
  const own = craftFocalPixels(craft);
  const focalPx = own ?? limits.referenceFocalPx;
  const halfWidthPx = (own === null ? REFERENCE_WIDTH_PX : craft.camera!.widthPx!) / 2;
  const axes = perAxis((axis) => {
    const spectrum = frames.gyro[axis];
    return spectrum && onAxis(axis, axis === "roll" ? halfWidthPx : focalPx, measured);
  });
  return { lens: { focalPx, from: own === null ? "reference" : "craft" }, fromHz: commanded.topHz, axes };
}

function onAxis(axis: Axis, leverPx: number, { frames, commanded }: Measured): Footage["axes"][Axis] {
  const spectrum = frames.gyro[axis]!;
  const density = frames.calmDensity[axis]!;
  const keep = (k: number): boolean => frames.kind[k] === "calm";
  const level = movement(spectrum, leverPx, { fromHz: commanded.topHz, keep });
  if (level === null) return null;
  const df = spectrum.sampleRate / spectrum.segmentLength;
  const bands = thirdOctaves(Math.max(5, commanded.topHz), spectrum.sampleRate / 2).map(
    ({ fromHz, toHz }) => ({
      fromHz,
      toHz,
      rmsPx: Math.sqrt(bandAngle(density, df, [fromHz, toHz])) * leverPx,
    }),
  );
  return { rmsPx: level.rms, ci95Px: level.ci95, bands };
}

/** Variance of the angle in a band, rad²: Σ S · overlap / (2πf)², the density constant over each bin. */
function bandAngle(density: Float64Array, df: number, [fromHz, toHz]: Interval): number {
  let sum = 0;
  for (let i = Math.max(1, Math.floor(fromHz / df - 0.5)); i < density.length; i++) {
    const low = Math.max(fromHz, (i - 0.5) * df);
    const high = Math.min(toHz, (i + 0.5) * df);
    if (high > low) sum += angleVariance(density[i]!, low, high);
  }
  return sum;
}

/**
 * Variance of the angle of a flat rate density between two frequencies: S / (4π²) · (1/f₁ − 1/f₂), in rad².
 *
 * @param density S, (deg/s)²/Hz
 * @example Math.sqrt(angleVariance(1e-4, 50, 150)) * 4304.93 // 0.013808 px
 */
export function angleVariance(density: number, fromHz: number, toHz: number): number {
  return ((density * RAD_PER_DEG ** 2) / (4 * Math.PI ** 2)) * (1 / fromHz - 1 / toHz);
}

interface Part {
  readonly fromHz: number;
  readonly keep: (frame: number) => boolean;
}

function movement(spectrum: ShortTimeSpectrum, leverPx: number, { fromHz, keep }: Part): Level | null {
  const { bins, power, starts, sampleRate, segmentLength } = spectrum;
  const df = sampleRate / segmentLength;
  const first = Math.max(1, Math.ceil(fromHz / df));
  const weight = Float64Array.from({ length: bins }, (_, i) =>
    i < first ? 0 : leverPx ** 2 * angleVariance(1, (i - 0.5) * df, (i + 0.5) * df),
  );
  const powers = Float64Array.from({ length: starts.length }, (_, k) => {
    let sum = 0;
    for (let i = first; i < bins; i++) sum += power[k * bins + i]! * weight[i]!;
    return sum;
  });
  return meanLevel(powers, keep, 4);
}

/** One reason, for the axis that moves the image most. Never loud: what holds the camera decides. */
export function footageReasons(footage: Footage, { limits }: Measured): Reason[] {
  const moved = AXES.flatMap((axis) => {
    const found = footage.axes[axis];
    return found ? [{ axis, ...found }] : [];
  });
  const worst = moved.sort((a, b) => b.rmsPx - a.rmsPx)[0];
  if (worst === undefined) {
    return [
      unknown("footage", "Too little unbroken calm flight to say what a camera would see.", {
        required: false,
      }),
    ];
  }
  const value = PEAK_TO_PEAK * worst.rmsPx;
  const ci95: Interval = [PEAK_TO_PEAK * worst.ci95Px[0], PEAK_TO_PEAK * worst.ci95Px[1]];
  const result = grade(value, ci95, { marginal: limits.footageMarginalPx });
  const lens =
    footage.lens.from === "craft"
      ? "the craft file's lens"
      : "a reference lens of 35 mm on 36 mm and 3840 px";
  return [
    {
      id: "footage",
      level: result.level,
      value,
      ci95,
      limit: result.limit,
      unit: "px peak to peak",
      axis: worst.axis,
      message:
        `A camera fixed hard to the frame, with ${lens}, would see its image move by ${say(value)} px ` +
        `(${sayRange(ci95)}; a sine of the same RMS, peak to peak) from ${worst.axis} above ${say(footage.fromHz)} Hz; ` +
        `a usual isolator deals with ${say(result.limit)}.${straddleNote(result)}`,
      required: false,
    },
  ];
}
