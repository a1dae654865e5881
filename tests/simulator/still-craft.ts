import type { Scenario } from "../../simulator/scenario.js";
import { welch } from "../../src/spectra/welch.js";

/** A craft that hangs still: constant throttle, no sag, no motion, so that levels can be compared with formulas. */
export function stillCraft(changes: Partial<Scenario> & { readonly logRateHz: number }): Scenario {
  return {
    seed: 11,
    durationS: 40,
    ...changes,
    rotors: { propellerInch: 10, hoverHz: 100, sag: 0, spread: 0, trim: 0, ...changes.rotors },
    flight: {
      profile: [[0, 0.45]],
      throttleWobble: 0,
      controlActivity: 0,
      motionDps: 0,
      gustDps: 0,
      ...changes.flight,
    },
    lines: { onceDps: 0, twiceDps: 0, bladePassDps: [], ...changes.lines },
  };
}

/** Welch PSD with half-second segments and its mean over a band. */
export function bandDensity(x: Float32Array, sampleRate: number, band: readonly [number, number]): number {
  const { frequency, density } = welch(x, { sampleRate, segmentLength: Math.round(sampleRate / 2) });
  const inside = density.filter((_, k) => frequency[k]! >= band[0] && frequency[k]! <= band[1]);
  return inside.reduce((sum, v) => sum + v, 0) / inside.length;
}

/** Frequency and amplitude of the strongest line in a band, from a long Hann segment. */
export function strongestLine(
  x: Float32Array,
  sampleRate: number,
  band: readonly [number, number],
): { hz: number; amplitude: number } {
  const { frequency, density } = welch(x, {
    sampleRate,
    segmentLength: 4 * sampleRate,
    scaling: "spectrum",
  });
  let best = 0;
  density.forEach((v, k) => {
    if (frequency[k]! >= band[0] && frequency[k]! <= band[1] && v > density[best]!) best = k;
  });
  const power = [-2, -1, 0, 1, 2].reduce((sum, d) => sum + density[best + d]!, 0) / 1.5;
  return { hz: frequency[best]!, amplitude: Math.sqrt(2 * power) };
}
