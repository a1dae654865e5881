import { describe, expect, test } from "vitest";
import type { Scenario } from "../../simulator/scenario.js";
import type { Chain, FilterStep, LowPassStep } from "../../src/filters/chain.js";
import { excitationOf } from "../../src/filters/excitation.js";
import { type Predictor, predictorOf } from "../../src/filters/predictor.js";
import { studyFrames } from "../../src/filters/study-frames.js";
import { throttleLevels } from "../../src/filters/throttle-levels.js";
import { type LoopFlight, loopFlight, reallyFilter, trueRotor } from "./really-filter.js";

const FROM_HZ = 20;
const lowPass = (order: 1 | 2, corner: LowPassStep["corner"]): FilterStep => ({
  kind: "low-pass",
  order,
  corner,
});
const onRotor = (...orders: number[]): FilterStep => ({ kind: "rotor notches", orders, q: 5, lowestHz: 30 });

const CHAINS: readonly Chain[] = [
  { gyro: [], dterm: [lowPass(2, 100)] },
  { gyro: [lowPass(1, 150)], dterm: [lowPass(2, 80)] },
  { gyro: [lowPass(2, 90), { kind: "notch", centreHz: 118, q: 3 }], dterm: [lowPass(1, 100)] },
  { gyro: [onRotor(1, 2)], dterm: [lowPass(2, { atZeroHz: 75, atFullHz: 110 })] },
  { gyro: [onRotor(1)], dterm: [lowPass(2, 120)] },
];

const mode = { frequencyHz: 118, dampingRatio: 0.012, prominenceDb: { roll: 14, pitch: 9 } };
const base = { durationS: 30, logRateHz: 4000 } as const;
const FLIGHTS: readonly (readonly [name: string, scenario: Scenario, thin: number])[] = [
  ["a 15 inch craft logged at a quarter of the loop rate", { ...base, seed: 3, modes: [mode] }, 4],
  [
    "a 22 inch craft out of balance, at half of it",
    { ...base, seed: 6, rotors: { propellerInch: 22 }, lines: { onceDps: 3 } },
    2,
  ],
  [
    "a 7 inch craft flown hard, blade pass folded",
    { ...base, seed: 8, rotors: { propellerInch: 7, blades: 3 }, flight: { profile: "punchy" } },
    4,
  ],
];

function predictorFor(flight: LoopFlight): Predictor {
  const levels = throttleLevels(flight.log);
  const frames = studyFrames(flight.log, levels, { seconds: 0.5, most: 300 });
  const loopRate = flight.loop.timeline.sampleRate;
  const excitation = excitationOf(flight.log, trueRotor(flight), {
    frames,
    levels,
    loopRate,
    motors: 4,
    fromHz: FROM_HZ,
  });
  const gain = { roll: 1, pitch: 1, yaw: 1 };
  return predictorOf(excitation, { fromHz: FROM_HZ, crossoverHz: 20, dtermGain: gain });
}

describe.each(FLIGHTS)("predict() against really filtering at loop rate, %s", (_name, scenario, thin) => {
  const flight = loopFlight(scenario, thin);
  const predictor = predictorFor(flight);

  const pairs = CHAINS.flatMap((chain) => {
    const found = predictor.predict(chain);
    const truth = reallyFilter(flight, chain, { axis: "roll", fromHz: FROM_HZ });
    return [
      { predicted: found.gyroRms.roll!, ci95: found.gyroCi95.roll!, truth: truth.gyroRms },
      { predicted: found.dtermRms.roll!, ci95: found.dtermCi95.roll!, truth: truth.dtermRms },
    ];
  });
  const errors = pairs.map(({ predicted, truth }) => Math.abs(predicted / truth - 1));

  test("gives gyro and D-term RMS within 3 % in the median over five chains", () => {
    expect(errors.toSorted((a, b) => a - b)[5]).toBeLessThan(0.03);
  });

  test("is nowhere off by more than 8 %, and never by more than its interval", () => {
    expect(Math.max(...errors)).toBeLessThan(0.08);
    for (const { truth, ci95 } of pairs) {
      expect(truth).toBeGreaterThan(ci95[0]);
      expect(truth).toBeLessThan(ci95[1]);
    }
  });

  test("has intervals of a quarter at most", () => {
    for (const { predicted, ci95 } of pairs) expect((ci95[1] - ci95[0]) / 2).toBeLessThan(0.25 * predicted);
  });

  test("without allowing for what folded down would be off by more than that", () => {
    const chain: Chain = { gyro: [], dterm: [] };
    const truth = reallyFilter(flight, chain, { axis: "roll", fromHz: FROM_HZ });
    const levels = throttleLevels(flight.log);
    const frames = studyFrames(flight.log, levels, { seconds: 0.5, most: 300 });
    // the log's own rate taken for the loop's: nothing above its Nyquist
    const loopRate = flight.log.sampleRate;
    const blind = excitationOf(flight.log, trueRotor(flight), {
      frames,
      levels,
      loopRate,
      motors: 4,
      fromHz: FROM_HZ,
    });
    const gain = { roll: 1, pitch: 1, yaw: 1 };
    const wrong = predictorOf(blind, { fromHz: FROM_HZ, crossoverHz: 20, dtermGain: gain }).predict(chain);
    const right = predictor.predict(chain);
    expect(Math.abs(wrong.dtermRms.roll! / truth.dtermRms - 1)).toBeGreaterThan(0.2);
    expect(Math.abs(right.dtermRms.roll! / truth.dtermRms - 1)).toBeLessThan(0.05);
  });
});

describe("predict()", () => {
  const flight = loopFlight({ ...base, durationS: 26, seed: 9 }, 4);
  const predictor = predictorFor(flight);

  test("counts half a loop step for the difference when nothing is filtered", () => {
    const { delayMs, gyroDelayMs, phaseDeg } = predictor.predict({ gyro: [], dterm: [] });
    expect(delayMs).toBeCloseTo(0.125, 12);
    expect(gyroDelayMs).toBe(0);
    expect(phaseDeg).toBeCloseTo(360 * 20 * 0.000125, 9);
  });

  test("adds delays and lags along the chain", () => {
    const both = predictor.predict({ gyro: [lowPass(2, 100)], dterm: [lowPass(2, 80)] });
    expect(both.gyroDelayMs).toBeCloseTo(2.2462, 3);
    expect(both.delayMs).toBeCloseTo(2.2462 + 2.8098 + 0.125, 3);
    expect(both.phaseDeg).toBeGreaterThan(both.gyroPhaseDeg);
  });

  test("gives a filter that follows throttle more delay at low throttle", () => {
    const [low, high] = predictor.predict({
      gyro: [],
      dterm: [lowPass(2, { atZeroHz: 40, atFullHz: 160 })],
    }).delayRangeMs;
    expect(high).toBeGreaterThan(1.2 * low);
  });

  test("never leaves more after a further low-pass", () => {
    const left = [200, 100, 50].map((hz) => predictor.quick({ gyro: [lowPass(2, hz)], dterm: [] }).dtermRms);
    expect(left[0]).toBeGreaterThan(left[1]!);
    expect(left[1]).toBeGreaterThan(left[2]!);
  });

  test("refuses two sets of rotor notches, and any on the D-term", () => {
    expect(() => predictor.predict({ gyro: [onRotor(1), onRotor(2)], dterm: [] })).toThrow(RangeError);
    expect(() => predictor.predict({ gyro: [], dterm: [onRotor(1)] })).toThrow(RangeError);
  });
});
