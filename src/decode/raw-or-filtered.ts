import { realFft } from "../spectra/fft.js";
import { hann } from "../spectra/window.js";

const SEGMENT = 512;
const MOST_SEGMENTS = 400;

/**
 * How far the spectrum falls from the lower to the upper end of the log's band, in dB: the mean density at
 * 80–95 % of Nyquist against that at 15–30 %. A low-pass shows as a fall that the sensor's own noise does not make.
 *
 * @param values one series, any unit; rows with NaN are left out
 * @returns dB, negative when it falls; NaN when the series is too short
 */
export function upperFallDb(values: Float32Array): number {
  const fft = realFft(SEGMENT);
  const window = hann(SEGMENT);
  const frame = new Float64Array(SEGMENT);
  const spectrum = new Float64Array(SEGMENT + 2);
  const power = new Float64Array(SEGMENT / 2 + 1);
  const stride = Math.max(SEGMENT, Math.floor((values.length - SEGMENT) / MOST_SEGMENTS));
  let used = 0;
  for (let at = 0; at + SEGMENT <= values.length; at += stride) {
    let previous = 0;
    let whole = true;
    for (let i = 0; i < SEGMENT; i++) {
      const value = values[at + i]!;
      // First difference: commanded motion at the foot of the band must not leak to its top.
      frame[i] = (value - (i === 0 ? value : previous)) * window[i]!;
      previous = value;
      whole &&= Number.isFinite(value);
    }
    if (!whole) continue;
    fft.forward(frame, spectrum);
    for (let k = 0; k < power.length; k++)
      power[k] = power[k]! + spectrum[2 * k]! ** 2 + spectrum[2 * k + 1]! ** 2;
    used++;
  }
  if (used < 4) return Number.NaN;
  const undone = (k: number): number => power[k]! / (4 * Math.sin((Math.PI * k) / SEGMENT) ** 2);
  const mean = (from: number, to: number): number => {
    const levels: number[] = [];
    for (let k = Math.round(from * (SEGMENT / 2)); k <= Math.round(to * (SEGMENT / 2)); k++)
      levels.push(undone(k));
    levels.sort((a, b) => a - b);
    // The lower quartile: lines of rotors stand in either band.
    return levels[Math.floor(levels.length / 4)]!;
  };
  return 10 * Math.log10(mean(0.8, 0.95) / mean(0.15, 0.3));
}

/** Mean square of the step from row to row: filtering lowers it. */
export function liveliness(series: readonly Float32Array[]): number {
  let sum = 0;
  let count = 0;
  for (const values of series) {
    for (let i = 1; i < values.length; i++) {
      const step = values[i]! - values[i - 1]!;
      if (Number.isNaN(step)) continue;
      sum += step * step;
      count++;
    }
  }
  return count === 0 ? Number.NaN : sum / count;
}
