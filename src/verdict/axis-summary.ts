import type { AxisSummary } from "../result.js";
import { shortTimeSpectrum } from "../spectra/short-time.js";
import type { ShortTimeSpectrum } from "../spectra/spectrum.js";
import { type Axis, type PerAxis, perAxis } from "../units.js";
import { meanDensity, powerBetween } from "./band-level.js";
import type { Measured } from "./measured.js";
import { levelWhere, quietLevel, restingLevel } from "./quiet-band.js";
import { strongestLine } from "./strongest-line.js";
import { type Band, thirdOctaves } from "./third-octave.js";

const LOWEST_BAND_HZ = 5;

/** Quiet band, strongest line and third-octave levels of every axis. */
export function axisSummaries(measured: Measured): PerAxis<AxisSummary> {
  return perAxis((axis) => ({
    quietBand: quietBandSummary(axis, measured),
    strongestLine: strongestLine(axis, measured),
    bands: bandLevels(axis, measured),
    wash: washLevel(axis, measured),
  }));
}

function quietBandSummary(axis: Axis, measured: Measured): AxisSummary["quietBand"] {
  const { quietBand, frames, timeline, commanded } = measured;
  if (quietBand === null) {
    return { fromHz: commanded.topHz, toHz: null, rmsDps: null, ci95Dps: null, floorDps: null };
  }
  const level = quietLevel(axis, quietBand, frames);
  return {
    fromHz: quietBand.fromHz,
    toHz: quietBand.toHz,
    rmsDps: level?.rms ?? null,
    ci95Dps: level?.ci95 ?? null,
    floorDps: restingLevel(axis, quietBand, timeline),
  };
}

/** What was kept out of the quiet-band figure: level in the same band during chops, wash and gusts. */
function washLevel(axis: Axis, { frames, quietBand }: Measured): AxisSummary["wash"] {
  const rough = frames.kind.filter((kind) => kind !== "calm").length;
  const spectrum = frames.gyro[axis];
  const level =
    spectrum === null || quietBand === null || quietBand.toHz <= quietBand.fromHz
      ? null
      : levelWhere(spectrum, quietBand, (k) => frames.kind[k] !== "calm");
  return { seconds: rough * frames.secondsPerFrame, rmsDps: level?.rms ?? null };
}

/** RMS in third-octave bands over all airborne frames. */
function bandLevels(axis: Axis, { timeline, frames, dterm }: Measured): AxisSummary["bands"] {
  const raw = rmsIn(frames.gyroSource === "raw" ? frames.gyro[axis] : null);
  const filtered = rmsIn(filteredFrames(axis, { timeline, frames }));
  const dtermIn = rmsIn(dterm.spectra[axis]);
  return thirdOctaves(LOWEST_BAND_HZ, timeline.sampleRate / 2).map((band) => ({
    ...band,
    gyroRawDps: raw(band),
    gyroFilteredDps: filtered(band),
    dterm: dtermIn(band),
  }));
}

function filteredFrames(
  axis: Axis,
  { timeline, frames }: Pick<Measured, "timeline" | "frames">,
): ShortTimeSpectrum | null {
  if (frames.gyroSource === "filtered") return frames.gyro[axis];
  const series = timeline.gyroFiltered[axis];
  return series === null ? null : shortTimeSpectrum(series, frames.grid);
}

/** RMS of a signal in any band, over all frames; null without the signal. */
function rmsIn(spectrum: ShortTimeSpectrum | null): (band: Band) => number | null {
  if (spectrum === null || spectrum.starts.length === 0) return () => null;
  const density = meanDensity(spectrum, () => true);
  const df = spectrum.sampleRate / spectrum.segmentLength;
  return ({ fromHz, toHz }) => {
    const power = powerBetween(density, df, [fromHz, toHz]);
    return Number.isFinite(power) ? Math.sqrt(power) : null;
  };
}
