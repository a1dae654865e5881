import { fold } from "../rotor/fold.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { FrameGrid } from "../spectra/spectrum.js";
import type { Hertz } from "../units.js";
import { notchByWidth } from "./biquad.js";
import type { RotorNotchStep } from "./chain.js";
import { sectionPower } from "./power-gain.js";

/** Frames of a log after notches that follow its rotors really ran over them, one after the other without overlap. */
export interface FollowedFrames {
  readonly samples: Float32Array;
  /** Frames' places in `samples`. */
  readonly grid: FrameGrid;
}

/** Seconds of signal before a frame in which the notches settle. */
const SETTLE_S = 0.12;
/** Seconds for which a notch stands still before it moves on. */
const HOLD_S = 0.004;
/** A folded notch must stay this many of its widths away from zero, and below this share of the log rate. */
const LEAST_WIDTHS = 0.75;
const HIGHEST_SHARE = 0.46;

/** Where a notch stands in a log: at its centre or, above Nyquist, where the log shows it; as wide as it truly is. */
export interface LogNotch {
  readonly hz: Hertz;
  readonly q: number;
  /** Whether the log shows it elsewhere than where it truly is. */
  readonly folded: boolean;
}

/** @returns null where a notch of that width does not fit in the log's band, or the speed is not known */
export function logNotch(step: RotorNotchStep, trueHz: Hertz, logRate: Hertz): LogNotch | null {
  const centre = Math.max(step.lowestHz, trueHz);
  const hz = fold(centre, logRate);
  const width = centre / step.q;
  const fits = hz > LEAST_WIDTHS * width && hz < HIGHEST_SHARE * logRate;
  return fits ? { hz, q: hz / width, folded: centre > logRate / 2 } : null;
}

/**
 * Runs notches on rotor speed over the frames of several series, at the log's own rate: what a line leaves while speed
 * changes, what rings on at a resonance after the line has moved away, and how far a window smears both, is then as in
 * flight instead of assumed.
 *
 * @param series raw gyro of every axis
 * @param grid frames
 * @param by speed of every motor, and the notches
 * @returns one entry per series
 */
export function followedFrames(
  series: readonly Float32Array[],
  grid: FrameGrid,
  by: { readonly rotor: RotorEstimate; readonly step: RotorNotchStep },
): FollowedFrames[] {
  const { segmentLength, sampleRate, starts } = grid;
  const samples = series.map(() => new Float32Array(starts.length * segmentLength));
  const settle = Math.ceil(SETTLE_S * sampleRate);
  const hold = Math.max(1, Math.round(HOLD_S * sampleRate));
  starts.forEach((start, f) => {
    const from = Math.max(...series.map((x) => settledFrom(x, start, settle)));
    const length = start + segmentLength - from;
    const notches = notchesOver({ from, length, hold, sampleRate }, by);
    series.forEach((x, a) => {
      const stretch = new Float64Array(x.subarray(from, from + length));
      for (const notch of notches) runNotch(stretch, hold, notch);
      samples[a]!.set(stretch.subarray(start - from), f * segmentLength);
    });
  });
  const laid = { ...grid, hop: segmentLength, starts: starts.map((_, f) => f * segmentLength) };
  return samples.map((own) => ({ samples: own, grid: laid }));
}

/** A notch that moves from block to block: b0, b1, b2, a1, a2 of every block, NaN where it does not fit in the log's band. */
type MovingNotch = Float64Array;
const COEFFICIENTS = 5;

/** Every motor's and order's notch over a stretch. */
function notchesOver(
  at: { readonly from: number; readonly length: number; readonly hold: number; readonly sampleRate: Hertz },
  { rotor, step }: { readonly rotor: RotorEstimate; readonly step: RotorNotchStep },
): MovingNotch[] {
  const blocks = Math.ceil(at.length / at.hold);
  const over = (order: number, hz: Float32Array): MovingNotch => {
    const moving = new Float64Array(COEFFICIENTS * blocks).fill(Number.NaN);
    for (let block = 0; block < blocks; block++) {
      const middle = Math.min(at.length - 1, block * at.hold + (at.hold >> 1));
      const placed = logNotch(step, order * hz[at.from + middle]!, at.sampleRate);
      if (placed === null) continue;
      const { b, a } = notchByWidth(placed.hz, at.sampleRate, placed.q);
      const row = COEFFICIENTS * block;
      moving[row] = b[0];
      moving[row + 1] = b[1];
      moving[row + 2] = b[2];
      moving[row + 3] = a[1];
      moving[row + 4] = a[2];
    }
    return moving;
  };
  return step.orders.flatMap((order) => rotor.tracks.map(({ hz }) => over(order, hz)));
}

/** First sample of the finite run before a frame, `most` at most. */
function settledFrom(x: Float32Array, start: number, most: number): number {
  let from = start;
  while (from > 0 && start - from < most && Number.isFinite(x[from - 1]!)) from--;
  return from;
}

/** One moving notch over a stretch in place, begun as if its first sample had always been there. */
function runNotch(x: Float64Array, hold: number, notch: MovingNotch): void {
  let s1 = Number.NaN;
  let s2 = Number.NaN;
  let runs = false;
  for (let start = 0, row = 0; start < x.length; start += hold, row += COEFFICIENTS) {
    const b0 = notch[row]!;
    const b1 = notch[row + 1]!;
    const b2 = notch[row + 2]!;
    const a1 = notch[row + 3]!;
    const a2 = notch[row + 4]!;
    const ran = runs;
    runs = !Number.isNaN(b0);
    if (!runs) continue;
    if (!ran) {
      s1 = x[start]! * (1 - b0);
      s2 = x[start]! * (b2 - a2);
    }
    const end = Math.min(x.length, start + hold);
    for (let i = start; i < end; i++) {
      const u = x[i]!;
      const y = b0 * u + s1;
      s1 = b1 * u - a1 * y + s2;
      s2 = b2 * u - a2 * y;
      x[i] = y;
    }
  }
}

/**
 * Mean power gain over some states that such notches have in the log's band, per bin.
 *
 * @param states speeds of every motor, Hz
 */
export function followedGain(
  step: RotorNotchStep,
  states: readonly (readonly Hertz[])[],
  grid: FrameGrid,
): Float64Array {
  const gain = new Float64Array(grid.bins);
  const cosines = Float64Array.from(gain, (_, k) => Math.cos((2 * Math.PI * k) / grid.segmentLength));
  for (const speeds of states) {
    const placed = step.orders
      .flatMap((order) => speeds.map((hz) => logNotch(step, order * hz, grid.sampleRate)))
      .flatMap((notch) => (notch === null ? [] : [notchByWidth(notch.hz, grid.sampleRate, notch.q)]));
    for (let k = 0; k < gain.length; k++) {
      const c = cosines[k]!;
      let g = 1 / states.length;
      for (const section of placed) g *= sectionPower(section, c, 2 * c * c - 1);
      gain[k] = gain[k]! + g;
    }
  }
  return gain;
}
