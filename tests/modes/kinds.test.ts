import { describe, expect, it } from "vitest";
import { simulateFlight } from "../../simulator/simulate.js";
import { identifyModes } from "../../src/modes/identify-modes.js";
import { estimateRotor } from "../../src/rotor/estimate-rotor.js";

function kindOfLowPeak(
  frequencyHz: number,
  dampingRatio: number,
  kind: "structure" | "payload" | "loop",
): string[] {
  const { timeline } = simulateFlight({
    seed: 1,
    durationS: 70,
    logRateHz: 1000,
    rotors: { propellerInch: 12 },
    flight: { profile: "sweep" },
    telemetry: {},
    modes: [{ frequencyHz, dampingRatio, kind, prominenceDb: { roll: 15, pitch: 12 } }],
  });
  const { modes } = identifyModes(timeline, estimateRotor(timeline, {}), {});
  return modes.filter((m) => Math.abs(m.frequencyHz - frequencyHz) < 2).map((m) => m.kind);
}

describe("kindOf a peak below everything that turns", () => {
  it("is payload for a sway at 9 Hz", () => {
    expect(kindOfLowPeak(9, 0.05, "payload")).toEqual(["payload"]);
  });

  it("is loop for an oscillation at 18 Hz whose frequency goes with the rotors' speed", () => {
    expect(kindOfLowPeak(18, 0.06, "loop")).toEqual(["loop"]);
  });

  it("is structure for a soft arm at 33 Hz whose power follows the wash", () => {
    expect(kindOfLowPeak(33, 0.02, "structure")).toEqual(["structure"]);
  });
});
