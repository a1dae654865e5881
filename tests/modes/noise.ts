import { randomStream } from "../../simulator/random.js";
import { type FixedAverage, SHAPE_PER_FRAME } from "../../src/modes/masked-average.js";
import { evaluateModel, modelWindow } from "../../src/modes/mode-model.js";

/** Seeded standard normal series. */
export function whiteNoise(count: number, seed: number): Float64Array {
  const random = randomStream(seed, "white noise");
  return Float64Array.from({ length: count }, () => random.normal());
}

/** Mean of n unit exponentials: a gamma variable of shape n and mean 1. */
export function gammaNoise(count: number, n: number, seed: number): Float64Array {
  const random = randomStream(seed, "gamma noise");
  return Float64Array.from({ length: count }, () => {
    let sum = 0;
    for (let i = 0; i < n; i++) sum -= Math.log(1 - random.uniform());
    return sum / n;
  });
}

/** The model's own spectrum with gamma noise of n frames on it: what a perfect masked average would give. */
export function noisyModel(
  theta: number[],
  place: { bins: number; df: number; frames: number; seed: number },
): FixedAverage {
  const modes = (theta.length - 2) / 4;
  const window = modelWindow(
    { firstBin: 0, bins: place.bins, df: place.df, centreHz: 100, narrowestHz: 0 },
    Array.from({ length: modes }, () => "free" as const),
  );
  evaluateModel(window, Float64Array.from(theta));
  const noise = gammaNoise(place.bins, place.frames, place.seed);
  const frames = new Float64Array(place.bins).fill(place.frames / SHAPE_PER_FRAME);
  return {
    df: place.df,
    density: window.logModel.map((v, b) => Math.exp(v) * noise[b]!),
    frames,
    shape: new Float64Array(place.bins).fill(place.frames),
    classes: [],
  };
}

/** One mode in model parameters: ln f, ln ζ, ln A, t. */
export function modeTheta(frequencyHz: number, dampingRatio: number, gain: number, lean = 0): number[] {
  return [Math.log(frequencyHz), Math.log(dampingRatio), Math.log(gain), lean];
}
