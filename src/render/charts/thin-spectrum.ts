import type { Spectrum } from "../../spectra/spectrum.js";

/** One point of a drawn spectrum with its 95 % band. */
export interface ThinPoint {
  readonly x: number;
  readonly y: number;
  readonly low: number;
  readonly high: number;
}

/** Points over the whole frequency axis: about one per unit of the drawing. */
const STEPS = 360;

/**
 * A spectrum on a logarithmic frequency axis with at most one point per step. Bins that share a step are averaged in
 * power, which keeps the area under the curve; a line that stands over its step's mean by more than 6 dB is kept.
 */
export function thinSpectrum(spectrum: Spectrum, [low, high]: readonly [number, number]): ThinPoint[] {
  const { frequency, density, lower, upper } = spectrum;
  const step = Math.log(high / low) / STEPS;
  const points: ThinPoint[] = [];
  for (let k = 0; k < frequency.length; ) {
    const f = frequency[k]!;
    if (f < low || f > high || !(density[k]! > 0)) {
      k++;
      continue;
    }
    const from = k;
    const end = f * Math.exp(step);
    while (k < frequency.length && frequency[k]! < end) k++;
    points.push(pointOf({ frequency, density, lower, upper }, from, Math.max(k, from + 1)));
    k = Math.max(k, from + 1);
  }
  return points;
}

function pointOf(
  s: Pick<Spectrum, "frequency" | "density" | "lower" | "upper">,
  from: number,
  to: number,
): ThinPoint {
  let [x, y, low, high] = [0, 0, 0, 0];
  let peak = from;
  for (let k = from; k < to; k++) {
    x += s.frequency[k]!;
    y += s.density[k]!;
    low += s.lower[k]!;
    high += s.upper[k]!;
    if (s.density[k]! > s.density[peak]!) peak = k;
  }
  const n = to - from;
  if (s.density[peak]! > (4 * y) / n) {
    return { x: s.frequency[peak]!, y: s.density[peak]!, low: s.lower[peak]!, high: s.upper[peak]! };
  }
  return { x: x / n, y: y / n, low: low / n, high: high / n };
}
