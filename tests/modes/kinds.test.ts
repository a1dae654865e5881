import { describe, expect, it } from "vitest";
import type { ModeSpec } from "../../simulator/scenario.js";
import { simulateFlight } from "../../simulator/simulate.js";
import { identifyModes } from "../../src/modes/identify-modes.js";
import { estimateRotor } from "../../src/rotor/estimate-rotor.js";

interface LowPeak extends Omit<ModeSpec, "prominenceDb"> {
  readonly profile?: "sweep" | "cruise" | "punchy" | "hover";
  readonly telemetry?: boolean;
  readonly propellerInch?: number;
  readonly durationS?: number;
}

/** What an invented flight's low peak, 18 dB clear, is taken for. */
function kindsOf(peak: LowPeak): string[] {
  const { profile = "sweep", telemetry = true, propellerInch = 12, durationS = 60, ...mode } = peak;
  const { timeline } = simulateFlight({
    seed: 1,
    durationS,
    logRateHz: 500,
    rotors: { propellerInch },
    flight: { profile },
    telemetry: telemetry ? {} : null,
    modes: [{ ...mode, prominenceDb: { roll: 18, pitch: 15 } }],
  });
  const { modes } = identifyModes(timeline, estimateRotor(timeline, {}), {});
  return modes.filter((m) => Math.abs(m.frequencyHz - mode.frequencyHz) < 2).map((m) => m.kind);
}

describe("kindOf a peak below everything that turns", () => {
  it("is payload for a sway at 9 Hz, in a cruise too", () => {
    expect(kindsOf({ frequencyHz: 9, dampingRatio: 0.05, kind: "payload" })).toEqual(["payload"]);
    const cruise = { frequencyHz: 12, dampingRatio: 0.05, kind: "payload", profile: "cruise" } as const;
    expect(kindsOf(cruise)).toEqual(["payload"]);
  });

  it("tells a loop from a structure at the same 24 Hz: its frequency goes with the rotors' speed", () => {
    expect(kindsOf({ frequencyHz: 24, dampingRatio: 0.05, kind: "loop" })).toEqual(["loop"]);
    expect(kindsOf({ frequencyHz: 24, dampingRatio: 0.05, kind: "structure" })).toEqual(["structure"]);
  });

  it("tells a loop by an inferred speed too", () => {
    // Away from a whole fraction of the rotors' 127 Hz, where it could be once per turn.
    expect(kindsOf({ frequencyHz: 28.5, dampingRatio: 0.05, kind: "loop", telemetry: false })).toEqual([
      "loop",
    ]);
  });

  it("leaves both unresolved in a hover: nothing moves that could tell them", () => {
    for (const kind of ["loop", "structure"] as const) {
      expect(kindsOf({ frequencyHz: 24, dampingRatio: 0.05, kind, profile: "hover" })).toEqual([
        "unresolved",
      ]);
    }
  });

  it("is structure for a loaded arm at 17 Hz that softens by 3 %, and at 33 Hz where its power follows the wash", () => {
    const arm = { frequencyHz: 17, dampingRatio: 0.02, kind: "structure", drift: 0.03 } as const;
    expect(kindsOf(arm)).toEqual(["structure"]);
    const stiffer = { frequencyHz: 33, dampingRatio: 0.02, kind: "structure", durationS: 100 } as const;
    expect(kindsOf(stiffer)).toEqual(["structure"]);
  });

  it("is structure for a soft arm at 19 Hz below large propellers that turn at 28 Hz", () => {
    const big = { frequencyHz: 19, dampingRatio: 0.015, kind: "structure", propellerInch: 28 } as const;
    expect(kindsOf({ ...big, profile: "punchy" })).toEqual(["structure"]);
  });
});
