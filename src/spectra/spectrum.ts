import type { Hertz } from "../units.js";

/** A one-sided power spectral density with its axis, interval and statistics: they never travel apart. */
export interface Spectrum {
  /** Hz, from 0 to Nyquist. */
  readonly frequency: Float64Array;
  /** unit²/Hz */
  readonly density: Float64Array;
  /** 95 % interval of the density (chi-square with `edof`). */
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  /** Equivalent degrees of freedom. */
  readonly edof: number;
  readonly averages: number;
  /** Resolution bandwidth ENBW · fs / N. */
  readonly resolution: Hertz;
  /** e.g. "(deg/s)²/Hz" */
  readonly unit: string;
}

/**
 * Where the frames of a short-time transform lie. `starts` holds the first sample of each frame; frames that
 * would touch an invalid sample or leave the analysed spans are not listed.
 */
export interface FrameGrid {
  readonly sampleRate: Hertz;
  readonly segmentLength: number;
  readonly hop: number;
  readonly starts: Int32Array;
  /** segmentLength / 2 + 1 (rounded down) */
  readonly bins: number;
}

/** One-sided PSD of every frame, row-major: `power[frame * bins + bin]`, unit²/Hz. Mean removed per frame. */
export interface ShortTimeSpectrum extends FrameGrid {
  readonly power: Float32Array;
}

/** A map of level over two axes, x-major: `level[ix * y.length + iy]`, NaN where there is nothing. */
export interface HeatMap {
  /** Bin centres: throttle 0..1 or time in s. */
  readonly x: Float64Array;
  /** Frequency in Hz. */
  readonly y: Float64Array;
  /** dB relative to `reference`. */
  readonly level: Float32Array;
  /** e.g. "dB re 1 (deg/s)²/Hz" */
  readonly reference: string;
  /** Seconds of flight behind each x bin. */
  readonly seconds: Float64Array;
}
