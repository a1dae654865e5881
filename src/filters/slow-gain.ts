import type { Hertz } from "../units.js";
import { HANN_BIN_CORRELATION } from "./delay-fit.js";
import { type TransferSums, transferPoint } from "./transfer.js";

/** Gain of a derivative path for slow signals, in output units per input unit and second, and its relative error. */
export interface SlowGain {
  readonly gain: number;
  /** Standard deviation over the gain. */
  readonly sd: number;
}

const FROM_HZ: Hertz = 4;
const TO_HZ: Hertz = 25;
const LEAST_COHERENCE = 0.5;
const LEAST_POINTS = 6;
/** What is left beside chance: f⁴, lines, folded noise; measured on simulated flights. */
const SYSTEMATIC = 0.015;

/**
 * Gain of a derivative path where its filters do nothing yet: ln |H1| / ω over the lowest coherent bins, led to zero
 * frequency along f², as every filter's magnitude runs there. It needs no likeness to any filter.
 *
 * @returns null with fewer than six coherent bins from 4 to 25 Hz
 * @see J. S. Bendat, A. G. Piersol, Random Data, section 9.2 (variance of the gain)
 */
export function slowGain(sums: TransferSums): SlowGain | null {
  let [s0, s1, s2, r0, r1, count] = [0, 0, 0, 0, 0, 0];
  for (let k = 1; k < sums.frequency.length && sums.frequency[k]! <= TO_HZ; k++) {
    if (sums.frequency[k]! < FROM_HZ) continue;
    const { hz, re, im, coherence, variance } = transferPoint(sums, k);
    if (!(coherence > LEAST_COHERENCE)) continue;
    const [x, y, w] = [(hz / TO_HZ) ** 2, Math.log(Math.hypot(re, im) / (2 * Math.PI * hz)), 1 / variance];
    [s0, s1, s2, r0, r1, count] = [s0 + w, s1 + w * x, s2 + w * x * x, r0 + w * y, r1 + w * x * y, count + 1];
  }
  const det = s0 * s2 - s1 * s1;
  if (count < LEAST_POINTS || !(det > 0)) return null;
  return {
    gain: Math.exp((s2 * r0 - s1 * r1) / det),
    sd: Math.hypot(SYSTEMATIC, Math.sqrt((HANN_BIN_CORRELATION * s2) / det)),
  };
}
