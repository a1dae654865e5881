import { frameGrid, hopFor } from "../src/spectra/frame-grid.js";
import { shortTimeSpectrum } from "../src/spectra/short-time.js";
import { throttleMap } from "../src/spectra/throttle-map.js";
import { welch } from "../src/spectra/welch.js";

export interface SpectraBenchInput {
  readonly sampleRate: number;
  /** Seven channels in the usual job: gyro raw and filtered, three axes each, and one D-term. */
  readonly channels: readonly Float32Array[];
  /** 0..1, as long as the channels. */
  readonly throttle: Float32Array;
  /** Default 2048, overlapped by half. */
  readonly segmentLength?: number;
}

export interface SpectraTiming {
  /** Welch spectra of all channels, ms. */
  readonly welchMs: number;
  /** Throttle maps of the first three channels, ms. */
  readonly mapsMs: number;
  readonly transforms: number;
  /** Real transforms in a second, windowing and averaging included. */
  readonly transformsPerSecond: number;
}

/** Times the spectra that a practitioner's script makes: Welch of every channel, throttle maps of the first three. */
export function timeSpectra(input: SpectraBenchInput): SpectraTiming {
  const { sampleRate, channels, throttle, segmentLength = 2048 } = input;
  const start = performance.now();
  let transforms = 0;
  for (const x of channels) transforms += welch(x, { sampleRate, segmentLength }).averages;
  const between = performance.now();
  const spans = [{ from: 0, to: throttle.length }];
  const grid = frameGrid(spans, { sampleRate, segmentLength, hop: hopFor(segmentLength, 0.5) });
  for (const x of channels.slice(0, 3)) {
    throttleMap(shortTimeSpectrum(x, grid), throttle);
    transforms += grid.starts.length;
  }
  const end = performance.now();
  return {
    welchMs: between - start,
    mapsMs: end - between,
    transforms,
    transformsPerSecond: (1000 * transforms) / (end - start),
  };
}
