import { expect, it } from "vitest";
import { simulateFlight } from "../../simulator/simulate.js";
import type { AxisMode } from "../../src/modes/axis-mode.js";
import { movingTest, surelyMoves } from "../../src/modes/moving.js";
import { resolutionBank } from "../../src/modes/resolution-bank.js";
import { estimateRotor } from "../../src/rotor/estimate-rotor.js";

it("movingTest follows a line from above Nyquist the way it moves there: 3.4 times 95 Hz in a log of 500 Hz", () => {
  const { timeline } = simulateFlight({
    seed: 21,
    durationS: 60,
    logRateHz: 500,
    rotors: { propellerInch: 15, blades: 2, hoverHz: 95, spread: 0.004, trim: 0 },
    flight: { profile: "cruise", controlActivity: 0.003 },
    lines: {
      onceDps: 0.5,
      twiceDps: 0.1,
      bladePassDps: [0.1],
      unlisted: [{ order: 3.4, dps: 2 }],
      wander: 0,
    },
    telemetry: {},
  });
  const rotor = estimateRotor(timeline, {});
  const bank = resolutionBank({ timeline, rotor, tones: [], cache: new Map() })!;
  const trueHz = 3.4 * rotor.medianHz!;
  const peak = { axis: 0, frequencyHz: 500 - trueHz, dampingRatio: 0.02 } as unknown as AxisMode;
  const test = movingTest(bank, peak, rotor.medianHz)!;
  expect(surelyMoves(test)).toBe(true);
  expect(Math.abs(test.atHz / trueHz - 1)).toBeLessThan(0.02);
  expect(surelyMoves(movingTest(bank, peak))).toBe(false);
});
