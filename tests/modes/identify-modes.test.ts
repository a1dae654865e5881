import { describe, expect, it } from "vitest";
import type { Scenario } from "../../simulator/scenario.js";
import { simulateFlight } from "../../simulator/simulate.js";
import { identifyModes } from "../../src/modes/identify-modes.js";
import { estimateRotor } from "../../src/rotor/estimate-rotor.js";

const BASE: Scenario = {
  seed: 11,
  durationS: 45,
  logRateHz: 1000,
  rotors: { propellerInch: 15, blades: 2 },
  flight: { profile: "sweep" },
};

function find(scenario: Scenario) {
  const { timeline, truth } = simulateFlight(scenario);
  const rotor = estimateRotor(timeline, {});
  return { estimate: identifyModes(timeline, rotor, {}), truth, rotor };
}

describe("identifyModes(timeline, rotor, craft)", () => {
  it("finds three modes on their axes, their intervals holding the truth, and a tone apart from them", () => {
    const { estimate } = find({
      ...BASE,
      modes: [
        { frequencyHz: 70, dampingRatio: 0.03, prominenceDb: { roll: 10 } },
        { frequencyHz: 118, dampingRatio: 0.012, prominenceDb: { roll: 14, pitch: 9 } },
        { frequencyHz: 260, dampingRatio: 0.02, prominenceDb: { yaw: 12 } },
      ],
      tones: [{ frequencyHz: 333, amplitudeDps: { yaw: 0.15 } }],
      telemetry: {},
    });
    const structures = estimate.modes.filter((m) => m.kind === "structure");
    expect(structures.map((m) => Math.round(m.frequencyHz / 2) * 2)).toEqual([70, 118, 260]);
    [70, 118, 260].forEach((hz, i) => {
      expect(structures[i]!.ci95Hz[0]).toBeLessThan(hz);
      expect(structures[i]!.ci95Hz[1]).toBeGreaterThan(hz);
    });
    expect(structures[1]!.axes.map((a) => a.axis).sort()).toEqual(["pitch", "roll"]);
    expect(structures.every((m) => m.confidence > 0.9 && m.agreement === "both")).toBe(true);
    expect(estimate.tones.map((t) => Math.round(t.frequencyHz))).toEqual([333]);
  });

  it("finds nothing where there is nothing", () => {
    const { estimate } = find({ ...BASE, telemetry: {} });
    expect(estimate.modes.filter((m) => m.kind === "structure")).toEqual([]);
    expect(estimate.tones).toEqual([]);
  });

  it("tells how far a joint softens: −3 % of 150 Hz, within 1.5 Hz", () => {
    const { estimate, truth } = find({
      ...BASE,
      durationS: 80,
      modes: [{ frequencyHz: 150, dampingRatio: 0.01, prominenceDb: { roll: 18 }, drift: 0.03 }],
      telemetry: {},
    });
    const mode = estimate.modes.find((m) => Math.abs(m.frequencyHz - 150) < 4)!;
    expect(mode.kind).toBe("structure");
    expect(Math.abs(mode.driftHz! - truth.modes[0]!.driftHz)).toBeLessThan(1.5);
  });

  it("guesses nothing under a line that never leaves: hover with telemetry, the mode on the first order", () => {
    const { estimate, truth } = find({
      ...BASE,
      flight: { profile: "hover", controlActivity: 0.002, motionDps: 2 },
      modes: [{ frequencyHz: 90, dampingRatio: 0.01, prominenceDb: { roll: 10 } }],
      rotors: { ...BASE.rotors, hoverHz: 90 },
      telemetry: {},
    });
    expect(
      estimate.unobservable.some((b) => b.fromHz < truth.rotor.medianHz && truth.rotor.medianHz < b.toHz),
    ).toBe(true);
    expect(estimate.modes.filter((m) => Math.abs(m.frequencyHz - 90) < 5 && m.kind === "structure")).toEqual(
      [],
    );
  });

  it("calls no line a structure in a hover of which no speed is known", () => {
    const { timeline } = simulateFlight({
      ...BASE,
      flight: { profile: "hover" },
      columns: { throttle: false, motors: false },
    });
    const rotor = estimateRotor(timeline, {});
    const { modes } = identifyModes(timeline, rotor, {});
    if (rotor.source === "none") expect(modes.filter((m) => m.kind === "structure")).toEqual([]);
    else
      expect(
        modes.filter((m) => Math.abs(m.frequencyHz - rotor.medianHz!) < 3 && m.kind === "structure"),
      ).toEqual([]);
  });

  it("lists every peak of such a hover as unresolved, a mode among them, however small the odds", () => {
    const { estimate, rotor } = find({
      ...BASE,
      flight: { profile: "hover" },
      columns: { throttle: true, motors: false },
      modes: [{ frequencyHz: 128, dampingRatio: 0.02, prominenceDb: { roll: 15 } }],
    });
    expect(rotor.source).toBe("none");
    expect(estimate.modes.every((m) => m.kind === "unresolved")).toBe(true);
    expect(estimate.modes.some((m) => Math.abs(m.frequencyHz - 128) < 2)).toBe(true);
    expect(estimate.modes.some((m) => m.confidence < 0.5)).toBe(true);
  });

  it.each([11, 14])("tells two modes 6.5 Hz apart that melt into one wide peak (seed %i)", (seed) => {
    const { estimate } = find({
      ...BASE,
      seed,
      durationS: 26,
      rotors: { propellerInch: 5, blades: 3, hoverHz: 260 },
      modes: [
        { frequencyHz: 46.5, dampingRatio: 0.0095, prominenceDb: { pitch: 13 } },
        { frequencyHz: 53, dampingRatio: 0.023, prominenceDb: { pitch: 10 } },
      ],
      telemetry: {},
    });
    expect(estimate.modes.map((m) => [m.kind, Math.round(m.frequencyHz / 2) * 2])).toEqual([
      ["structure", 46],
      ["structure", expect.closeTo(52, -1)],
    ]);
  });

  it("asks every axis for a mode that one of them shows: in front of a wide neighbour too", () => {
    const { estimate } = find({
      ...BASE,
      durationS: 60,
      rotors: { propellerInch: 13, blades: 2, hoverHz: 110 },
      modes: [
        { frequencyHz: 51, dampingRatio: 0.03, prominenceDb: { pitch: 12 } },
        { frequencyHz: 57, dampingRatio: 0.006, prominenceDb: { roll: 18, pitch: 11 } },
      ],
      telemetry: {},
    });
    const upper = estimate.modes.find((m) => Math.abs(m.frequencyHz - 57) < 1)!;
    expect(upper.axes.map((a) => a.axis).sort()).toEqual(["pitch", "roll"]);
  });

  it("says that two seconds are too short, and finds nothing in them", () => {
    const { timeline } = simulateFlight({ ...BASE, durationS: 2 });
    const { modes, doubts } = identifyModes(timeline, estimateRotor(timeline, {}), {});
    expect(modes).toEqual([]);
    expect(doubts.join()).toContain("too short");
  });

  it("gives every curve of the fixed spectrum on one frequency axis, its interval around the density", () => {
    const { estimate } = find({ ...BASE, telemetry: {}, durationS: 30 });
    const roll = estimate.fixed.roll!;
    for (const curve of [roll.density, roll.lower, roll.upper, roll.frames, roll.model, roll.floor]) {
      expect(curve.length).toBe(roll.frequency.length);
    }
    const b = roll.density.findIndex((v, i) => i > 30 && v > 0);
    expect(roll.lower[b]!).toBeLessThan(roll.density[b]!);
    expect(roll.upper[b]!).toBeGreaterThan(roll.density[b]!);
  });
});
