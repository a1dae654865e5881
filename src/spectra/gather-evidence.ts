import type { AxisSpectra, DrawnSeries, Evidence } from "../evidence.js";
import type { ModesEstimate } from "../modes/mode.js";
import { orderHistory } from "../rotor/order-history.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import { analysisGyro, type Timeline } from "../timeline/timeline.js";
import { type Axis, perAxis } from "../units.js";
import { nearestPowerOfTwo } from "./fft.js";
import { frameGrid, validRuns } from "./frame-grid.js";
import { meanSpectrum, shortTimeSpectrum } from "./short-time.js";
import type { FrameGrid, HeatMap, Spectrum } from "./spectrum.js";
import { type ThinOptions, thin } from "./thin.js";
import { throttleMap } from "./throttle-map.js";
import { timeMap } from "./time-map.js";
import { welch } from "./welch.js";

/** Frames last about one second: 1 Hz between bins. */
const FRAME_S = 1;
/** A shorter record gets shorter frames, so that at least this many of them lie end to end in its longest run. */
const LEAST_FRAMES = 4;
const SHORTEST_FRAME = 16;

/**
 * The curves behind a result, for drawing: spectra of every signal, maps over throttle and time, thinned series.
 *
 * Maps and mean spectrum of the analysed gyro come from one short-time transform: the mean of its frames is the Welch
 * spectrum.
 *
 * @param timeline the analysed flight; only airborne, valid samples are used for spectra
 * @param rotor speeds, for the drawn rotor frequency
 * @param modes the spectra of what stays put, passed on
 * @returns null wherever the log has no such signal or no frame fits
 */
export function gatherEvidence(timeline: Timeline, rotor: RotorEstimate, modes: ModesEstimate): Evidence {
  const grid = evidenceGrid(timeline);
  const analysed = perAxis((axis) => analysedAxis(timeline, axis, grid));
  const { sampleRate, startS, valid } = timeline;
  const clock = { sampleRate, startS, valid };
  return {
    spectra: perAxis((axis) => axisSpectra(timeline, axis, { grid, analysed: analysed[axis].spectrum })),
    throttleMap: perAxis((axis) => analysed[axis].throttleMap),
    timeMap: perAxis((axis) => analysed[axis].timeMap),
    fixed: modes.fixed,
    throttle: timeline.throttle && thin(timeline.throttle, clock),
    rotorHz: drawnSpeed(rotor, clock),
    orderHistory: orderHistory(timeline, rotor),
  };
}

/** Frames over the airborne parts; no frame at all when not even a short one fits. */
function evidenceGrid(timeline: Timeline): FrameGrid {
  const { sampleRate, airborne, valid } = timeline;
  const longest = validRuns(airborne, valid).reduce((most, run) => Math.max(most, run.to - run.from), 0);
  let segmentLength = nearestPowerOfTwo(FRAME_S * sampleRate);
  while (segmentLength * LEAST_FRAMES > longest && segmentLength > SHORTEST_FRAME) segmentLength /= 2;
  return frameGrid(airborne, { sampleRate, segmentLength, hop: segmentLength / 2 }, valid);
}

interface AnalysedAxis {
  readonly spectrum: Spectrum | null;
  readonly throttleMap: HeatMap | null;
  readonly timeMap: HeatMap | null;
}

/** All that comes from the short-time spectrum of one axis, so that it need not be kept. */
function analysedAxis(timeline: Timeline, axis: Axis, grid: FrameGrid): AnalysedAxis {
  const series = analysisGyro(timeline).series[axis];
  if (!series || grid.starts.length === 0) return { spectrum: null, throttleMap: null, timeMap: null };
  const frames = shortTimeSpectrum(series, grid);
  return {
    spectrum: meanSpectrum(frames),
    throttleMap: timeline.throttle && throttleMap(frames, timeline.throttle),
    timeMap: timeMap(frames, { startS: timeline.startS }),
  };
}

function axisSpectra(
  timeline: Timeline,
  axis: Axis,
  { grid, analysed }: { grid: FrameGrid; analysed: Spectrum | null },
): AxisSpectra {
  const { source } = analysisGyro(timeline);
  const { sampleRate, airborne: spans, valid } = timeline;
  const { segmentLength } = grid;
  const spectrumOf = (series: Float32Array | null, unit: string): Spectrum | null =>
    series && grid.starts.length > 0
      ? welch(series, { sampleRate, segmentLength, spans, valid, unit })
      : null;
  return {
    raw: source === "raw" ? analysed : null,
    filtered: source === "filtered" ? analysed : spectrumOf(timeline.gyroFiltered[axis], "(deg/s)²/Hz"),
    dterm: spectrumOf(timeline.dterm[axis], "unit²/Hz"),
  };
}

/** Common rotor frequency over time: the common track, or the mean of the motors known at that instant. */
function drawnSpeed(rotor: RotorEstimate, clock: ThinOptions): DrawnSeries | null {
  const common = rotor.tracks.find((track) => track.motor === null);
  const drawn = (common ? [common] : rotor.tracks).map((track) => thin(track.hz, clock));
  const [first] = drawn;
  if (!first) return null;
  const meanAt = (_: number, point: number): number => {
    const known = drawn.map((series) => series.y[point]!).filter((hz) => !Number.isNaN(hz));
    return known.reduce((sum, hz) => sum + hz, 0) / known.length;
  };
  return { x: first.x, y: first.y.map(meanAt) };
}
