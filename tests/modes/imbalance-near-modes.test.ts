import { describe, expect, it } from "vitest";
import { simulateFlight } from "../../simulator/simulate.js";
import { identifyModes } from "../../src/modes/identify-modes.js";
import { imbalanceNearModes } from "../../src/modes/imbalance-near-modes.js";
import { powerResponse } from "../../src/modes/power-response.js";
import { estimateRotor } from "../../src/rotor/estimate-rotor.js";

describe("powerResponse(shapes, hz)", () => {
  const shape = { frequencyHz: 100, dampingRatio: 0.02, gain: 100, lean: 20 };

  it("is 1 without modes and far below one, 1 + A at its frequency, (1 + 2ζ√A)² far above", () => {
    expect(powerResponse([], 100)).toBe(1);
    expect(powerResponse([shape], 1)).toBeCloseTo(1, 3);
    expect(powerResponse([shape], 100)).toBeCloseTo(101, 6);
    expect(powerResponse([shape], 1e5)).toBeCloseTo(1.4 ** 2, 3);
  });

  it("takes what lies on the other side of the rigid body off: less than 1 far above the mode", () => {
    expect(powerResponse([{ ...shape, lean: -20 }], 1e5)).toBeCloseTo(0.6 ** 2, 3);
  });
});

describe("imbalanceNearModes(timeline, rotor, modes)", () => {
  // rotors of 65 to 120 Hz sweep through a mode at 100 Hz, which swells every line there
  const { timeline, truth } = simulateFlight({
    seed: 5,
    durationS: 60,
    logRateHz: 2000,
    rotors: { propellerInch: 15, blades: 2, hoverHz: 85, spread: 0.02 },
    flight: { profile: "sweep" },
    modes: [{ frequencyHz: 100, dampingRatio: 0.02, prominenceDb: { roll: 18, pitch: 15 } }],
    telemetry: {},
  });
  const rotor = estimateRotor(timeline, {});
  const modes = identifyModes(timeline, rotor, {});
  const near = imbalanceNearModes(timeline, rotor, modes);
  const off = (of: typeof rotor): number[] =>
    of.motors.map(({ motor, onceDps }) => {
      const { onceTotalDps } = truth.rotor.motors.find((m) => m.motor === motor)!;
      return Math.abs(Math.log(onceDps / onceTotalDps));
    });

  it("brings every motor's amplitude within 15 % of the rigid craft's, where the swollen line is 30 % off or more", () => {
    expect(Math.max(...off(near))).toBeLessThan(0.15);
    expect(Math.min(...off(rotor))).toBeGreaterThan(0.3);
  });

  it("leaves the rotor as it is where no structure was found", () => {
    expect(imbalanceNearModes(timeline, rotor, { ...modes, shapes: { roll: [], pitch: [], yaw: [] } })).toBe(
      rotor,
    );
  });
});
