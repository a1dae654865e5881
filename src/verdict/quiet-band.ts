import type { RotorEstimate } from "../rotor/rotor.js";
import { frameGrid } from "../spectra/frame-grid.js";
import { shortTimeSpectrum } from "../spectra/short-time.js";
import type { ShortTimeSpectrum } from "../spectra/spectrum.js";
import { analysisGyro, type Timeline } from "../timeline/timeline.js";
import type { Axis, Hertz, Interval } from "../units.js";
import { binRange, framePowers, type Level, meanLevel } from "./band-level.js";
import type { FlightFrames } from "./flight-frames.js";
import type { Band } from "./third-octave.js";

/** A band narrower than this holds no level of its own. */
const LEAST_BINS = 2;
/** Bins kept clear of a line: a Hann window's skirt is 40 dB down there. */
const GUARD_BINS = 3.5;

type Lines = Pick<RotorEstimate, "source" | "orders">;

/**
 * The quiet band: from commanded motion up to the once-per-turn band, or to Nyquist where the rotors lie above it.
 * `toHz ≤ fromHz` means that there is none, or next to none.
 *
 * @param fromHz top of commanded motion
 * @param cruise once-per-turn band in cruise
 */
export function quietBandOf(
  fromHz: Hertz,
  cruise: Interval,
  { frames, rotor }: { readonly frames: Pick<FlightFrames, "grid">; readonly rotor: Lines },
): Band {
  const { sampleRate, segmentLength } = frames.grid;
  const bin = sampleRate / segmentLength;
  const spread = rotor.source === "inferred" ? firstOrderHalfWidth(rotor) : 0;
  const below = cruise[0] * (1 - spread) - GUARD_BINS * bin;
  const toHz = Math.max(0, Math.min(below, sampleRate / 2));
  return { fromHz, toHz: toHz - fromHz < LEAST_BINS * bin ? Math.min(toHz, fromHz) : toHz };
}

/** Half-width of the once-per-turn line of rotors that do not all turn alike, as a share of its frequency. */
export function firstOrderHalfWidth(rotor: Lines): number {
  return rotor.orders.find((line) => line.order === 1)?.halfWidth ?? 0.03;
}

/** RMS in the quiet band over calm frames in which no rotor turns down into it; null without such a frame. */
export function quietLevel(axis: Axis, band: Band, frames: FlightFrames): Level | null {
  const spectrum = frames.gyro[axis];
  if (spectrum === null || band.toHz <= band.fromHz) return null;
  const guard = (GUARD_BINS * spectrum.sampleRate) / spectrum.segmentLength;
  const clear = (k: number): boolean => !(frames.speed[k]!.low - guard < band.toHz * 0.999);
  const keep = (k: number): boolean => frames.kind[k] === "calm" && clear(k);
  return levelWhere(spectrum, band, keep);
}

/** RMS in a band over the frames that count. */
export function levelWhere(
  spectrum: ShortTimeSpectrum,
  band: Band,
  keep: (frame: number) => boolean,
): Level | null {
  const [first, last] = binRange(spectrum, band.fromHz, band.toHz);
  if (last === first) return null;
  return meanLevel(framePowers(spectrum, band.fromHz, band.toHz), keep, last - first);
}

/** RMS in a band while the motors rest: the sensor's own noise; null when the log holds no such seconds. */
export function restingLevel(axis: Axis, band: Band, timeline: Timeline): number | null {
  const gyro = analysisGyro(timeline).series[axis];
  if (gyro === null || band.toHz <= band.fromHz || timeline.resting.length === 0) return null;
  const { sampleRate } = timeline;
  const segmentLength = Math.max(16, 2 ** Math.floor(Math.log2(sampleRate / 2)));
  const grid = frameGrid(
    timeline.resting,
    { sampleRate, segmentLength, hop: segmentLength / 2 },
    timeline.valid,
  );
  if (grid.starts.length < 2) return null;
  return levelWhere(shortTimeSpectrum(gyro, grid), band, () => true)?.rms ?? null;
}
