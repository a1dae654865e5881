import { describe, expect, it } from "vitest";
import { scoreFlight } from "../../accuracy/modes/score.js";
import { summarise } from "../../accuracy/modes/summary.js";
import { craftOf, modesPopulation } from "../../accuracy/populations.js";
import { simulateFlight } from "../../simulator/simulate.js";
import { identifyModes } from "../../src/modes/identify-modes.js";
import { estimateRotor } from "../../src/rotor/estimate-rotor.js";

/** The accuracy run in small: eight flights of its populations, four of each half, those with telemetry first. */
describe("identifyModes on eight flights of the accuracy run", () => {
  const flights = (["kind", "unkind"] as const).flatMap((kind) =>
    modesPopulation(4, 31, kind).map((scenario) => {
      const { timeline, truth } = simulateFlight(scenario);
      const craft = craftOf(scenario);
      const rotor = estimateRotor(timeline, craft);
      return scoreFlight(truth, identifyModes(timeline, rotor, craft), rotor.source);
    }),
  );

  it("finds nine in ten modes that stand 8 dB clear, on their axes", () => {
    const { found } = summarise(flights);
    expect(found.of).toBeGreaterThan(5);
    expect(found.hits / found.of).toBeGreaterThanOrEqual(0.9);
  });

  it("invents no structure, and no axis or tone", () => {
    const s = summarise(flights);
    expect(s.falseStructures.hits).toBe(0);
    expect(s.wrongAxes.hits).toBe(0);
    expect(s.falseTones.hits).toBe(0);
  });

  it("is within 0.3 Hz in the median, its intervals holding four in five truths or more", () => {
    const s = summarise(flights);
    expect(s.medianErrorHz).toBeLessThan(0.3);
    expect(s.covered.hits / s.covered.of).toBeGreaterThanOrEqual(0.8);
  });
});
