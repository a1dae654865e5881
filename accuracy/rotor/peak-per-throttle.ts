import { frameGrid } from "../../src/spectra/frame-grid.js";
import { shortTimeSpectrum } from "../../src/spectra/short-time.js";
import { frameMeans } from "../../src/spectra/throttle-map.js";
import { quantile } from "../../src/stats/quantile.js";
import { analysisGyro, presentAxes, type Timeline } from "../../src/timeline/timeline.js";

/** Width of a throttle bin, 0..1. */
const BIN = 0.05;
/** Below this the craft's own motion is the strongest, Hz. */
const LOWEST_HZ = 15;

/** What one reads off the spectra by eye. */
export interface PeakReading {
  /** Median over the flight of the strongest peak's frequency at the throttle flown, Hz. */
  readonly medianHz: number | null;
  /** The whole number by which the speed report must be divided to come nearest to that; null without a report. */
  readonly divisor: number | null;
}

/**
 * The plain way: half-second spectra averaged per 5 % of throttle over all axes; the strongest peak above 15 Hz of
 * each bin is taken for the rotors' speed there.
 */
export function peakPerThrottle(timeline: Timeline): PeakReading {
  const throttle = timeline.throttle ?? timeline.motors[0];
  if (!throttle) return { medianHz: null, divisor: null };
  const segmentLength = 2 ** Math.round(Math.log2(0.5 * timeline.sampleRate));
  const grid = frameGrid(
    timeline.airborne,
    { sampleRate: timeline.sampleRate, segmentLength, hop: segmentLength / 2 },
    timeline.valid,
  );
  const bin = frameMeans(grid, throttle).map((u) => Math.round(u / BIN));
  const peaks = new Map(
    [...new Set(bin)].map((b) => [
      b,
      strongestIn(timeline, { ...grid, starts: grid.starts.filter((_, k) => bin[k] === b) }),
    ]),
  );
  const speeds = Array.from(bin, (b) => peaks.get(b) ?? Number.NaN);
  const medianHz = quantile(speeds, 0.5);
  if (Number.isNaN(medianHz)) return { medianHz: null, divisor: null };
  const report = timeline.rotorSpeed[0];
  if (!report) return { medianHz, divisor: null };
  const read = timeline.airborne.flatMap(({ from, to }) =>
    Array.from(report.hz.subarray(from, to)).filter((v) => v > 0),
  );
  return { medianHz, divisor: Math.max(1, Math.round(quantile(read, 0.5) / medianHz)) };
}

type Grid = ReturnType<typeof frameGrid>;

function strongestIn(timeline: Timeline, grid: Grid): number {
  const { series } = analysisGyro(timeline);
  const sum = new Float64Array(grid.bins);
  for (const axis of presentAxes(series)) {
    shortTimeSpectrum(series[axis]!, grid).power.forEach((p, i) => {
      sum[i % grid.bins] = sum[i % grid.bins]! + p;
    });
  }
  const df = grid.sampleRate / grid.segmentLength;
  let best = Math.ceil(LOWEST_HZ / df);
  for (let i = best; i < sum.length; i++) if (sum[i]! > sum[best]!) best = i;
  return best * df;
}
