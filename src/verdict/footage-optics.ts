import type { Craft } from "../craft.js";
import type { DegreesPerSecond, Hertz } from "../units.js";

const RAD_PER_DEG = Math.PI / 180;
/** Peak to peak of a sine over its RMS. */
export const PEAK_TO_PEAK = 2 * Math.SQRT2;

/**
 * Focal length in pixels of a pinhole camera: f_mm · width_px / sensor_mm.
 *
 * @param focalMm focal length, mm
 * @param sensorWidthMm width of the sensor, mm
 * @param widthPx pixels across that width
 * @see OpenCV camera model; any text on photogrammetry
 * @example focalPixels(50, 22.3, 1920) // 4304.93
 */
export function focalPixels(focalMm: number, sensorWidthMm: number, widthPx: number): number {
  return (focalMm * widthPx) / sensorWidthMm;
}

/**
 * The same from the horizontal field of view: (width / 2) / tan(HFOV / 2).
 *
 * @param widthPx pixels across
 * @param fieldDeg horizontal field of view, deg, 0..180
 * @example focalPixelsFromField(1920, 60) // 1662.77
 */
export function focalPixelsFromField(widthPx: number, fieldDeg: number): number {
  return widthPx / 2 / Math.tan((fieldDeg * RAD_PER_DEG) / 2);
}

/** Focal length in pixels of the craft file's camera; null when it does not say all three numbers. */
export function craftFocalPixels(craft: Craft): number | null {
  const { focalMm, sensorWidthMm, widthPx } = craft.camera ?? {};
  if (focalMm === undefined || sensorWidthMm === undefined || widthPx === undefined) return null;
  return focalPixels(focalMm, sensorWidthMm, widthPx);
}

/**
 * Image movement of a hard-mounted camera for an angular rate at one frequency: f_px · rate / (2πf), far subject,
 * axis across the line of sight. Amplitude gives amplitude, RMS gives RMS.
 *
 * @param rateDps angular rate, deg/s
 * @param hz frequency, Hz, > 0
 * @param focalPx focal length, px
 * @returns px
 * @example rateToPixels(1, 80, 4304.932735426009) // 0.149477
 */
export function rateToPixels(rateDps: DegreesPerSecond, hz: Hertz, focalPx: number): number {
  return (rateDps * RAD_PER_DEG * focalPx) / (2 * Math.PI * hz);
}

/**
 * RMS rate at one frequency whose sine moves the image by `pixels` peak to peak.
 *
 * @example rmsRateFor(1, 39, 3733) // 1.33 deg/s
 */
export function rmsRateFor(pixels: number, hz: Hertz, focalPx: number): DegreesPerSecond {
  return ((pixels / PEAK_TO_PEAK) * 2 * Math.PI * hz) / (focalPx * RAD_PER_DEG);
}

/**
 * Largest movement of the image inside one exposure for a sine of given amplitude: 2A sin(πfT) for fT ≤ 1/2, else 2A.
 *
 * @param amplitudePx A, px
 * @param hz f
 * @param exposureS T, s
 * @example smearInExposure(0.14947683, 80, 1 / 500) // 0.14402
 */
export function smearInExposure(amplitudePx: number, hz: Hertz, exposureS: number): number {
  const turns = hz * exposureS;
  return turns >= 0.5 ? 2 * amplitudePx : 2 * amplitudePx * Math.sin(Math.PI * turns);
}

/**
 * Phase by which a vibration advances while a rolling shutter reads one frame: 360 · f · t_read.
 *
 * @example rollingShutterPhase(80, 0.0167) // 480.96 deg
 */
export function rollingShutterPhase(hz: Hertz, readoutS: number): number {
  return 360 * hz * readoutS;
}
