import { expect, test } from "vitest";
import { simulateFlight } from "../../simulator/simulate.js";
import { estimateRotor } from "../../src/rotor/estimate-rotor.js";
import type { Inference } from "../../src/rotor/infer.js";
import { judgeInference } from "../../src/rotor/judge-inference.js";
import { seriesTimeline } from "../modes/timelines.js";

/** A comb that moves, of good score, whose first order and best other stand out by so many robust deviations. */
function inference(strength: number, support: number): Inference {
  const found = { model: { f0: 100 }, score: 1, levels: [1, 0.4, 0, 0, 0, 0] };
  return {
    driver: { logCommands: [[], []] },
    hover: false,
    found,
    best: found,
    fundamental: { divisor: 1, hint: 1, strength, support, moving: 0.8 },
    rivals: [],
  } as unknown as Inference;
}

const timeline = seriesTimeline({ roll: new Float32Array(16) }, 1000);

test("judgeInference withholds a comb none of whose orders stands out of what lies beside it", () => {
  expect(judgeInference(timeline, {}, inference(2.7, 1.4)).answer).toBeNull();
  expect(judgeInference(timeline, {}, inference(2.7, 1.4)).confidence).toBeLessThan(0.9);
  expect(judgeInference(timeline, {}, inference(7, 1.4)).answer).not.toBeNull();
  expect(judgeInference(timeline, {}, inference(1.1, 18)).answer).not.toBeNull();
});

test("a third of the speed, along which folded lines lie by chance, is not taken for once per turn", () => {
  const { timeline: folded, truth } = simulateFlight({
    seed: 2206169047,
    durationS: 86,
    logRateHz: 500,
    rotors: {
      count: 6,
      propellerInch: 5,
      blades: 2,
      hoverHz: 338.5,
      hoverThrottle: 0.431,
      exponent: 0.685,
      saturation: 0.098,
      spread: 0.0209,
      trim: 0.0124,
      sag: 0.141,
      cells: 6,
      bad: { motor: 3, factor: 2.9 },
      height: 0.55,
    },
    flight: { profile: "cruise", restBeforeS: 3, controlActivity: 0.0147, motionDps: 17, gustDps: 0.93 },
    lines: { onceDps: 0.43, twiceDps: 0.275, bladePassDps: [0.9, 0.39], unlisted: [], wander: 0.03 },
    wash: { density: 0.0196, cornerHz: 397 },
    sensor: { density: 0.009, quantumDps: 1 },
    telemetry: null,
  });
  const { medianHz } = estimateRotor(folded, {});
  expect(medianHz === null || medianHz > 0.97 * truth.rotor.medianHz).toBe(true);
});
