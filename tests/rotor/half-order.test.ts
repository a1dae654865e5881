import { expect, it } from "vitest";
import { simulateFlight } from "../../simulator/simulate.js";
import { estimateRotor } from "../../src/rotor/estimate-rotor.js";

it("estimateRotor takes no line at half the speed for once per turn where the craft file tells the blades", () => {
  const { timeline, truth } = simulateFlight({
    seed: 4,
    durationS: 60,
    logRateHz: 1000,
    rotors: { propellerInch: 20, blades: 3, hoverHz: 70 },
    flight: { profile: "cruise" },
    lines: {
      onceDps: 0.8,
      twiceDps: 0.05,
      bladePassDps: [0.4, 0.1],
      unlisted: [{ order: 0.5, dps: 0.4 }],
      wander: 0.1,
    },
  });
  const told = estimateRotor(timeline, { blades: 3 }).medianHz! / truth.rotor.medianHz;
  expect(Math.abs(told - 1)).toBeLessThan(0.03);
  // without that nothing in the log contradicts a rotor of half the speed
  expect(Math.abs(estimateRotor(timeline, {}).medianHz! / truth.rotor.medianHz - 0.5)).toBeLessThan(0.02);
});
