import { describe, expect, test } from "vitest";
import { craftOf, modesPopulation, noisePopulation, rotorPopulation } from "../../accuracy/populations.js";
import { simulateFlight } from "../../simulator/simulate.js";

describe("rotorPopulation(n, seed)", () => {
  const scenarios = rotorPopulation(90, 1);

  test("is the same list for the same seed, and a longer list only goes on", () => {
    expect(rotorPopulation(12, 1)).toEqual(scenarios.slice(0, 12));
    expect(rotorPopulation(12, 2)).not.toEqual(scenarios.slice(0, 12));
  });

  test("covers the conditions: half with telemetry, every profile, sizes, rates, blades, a bad motor in some", () => {
    const count = (holds: (s: (typeof scenarios)[number]) => boolean): number =>
      scenarios.filter(holds).length;
    expect(count((s) => s.telemetry !== null)).toBe(45);
    for (const profile of ["sweep", "cruise", "punchy"])
      expect(count((s) => s.flight?.profile === profile)).toBe(30);
    for (const blades of [2, 3, 4, 5]) expect(count((s) => s.rotors?.blades === blades)).toBeGreaterThan(3);
    expect(Math.min(...scenarios.map((s) => s.rotors!.propellerInch!))).toBe(3);
    expect(Math.max(...scenarios.map((s) => s.rotors!.propellerInch!))).toBe(28);
    expect(Math.min(...scenarios.map((s) => s.logRateHz))).toBe(400);
    expect(Math.max(...scenarios.map((s) => s.logRateHz))).toBe(4000);
    expect(count((s) => s.rotors?.bad !== null)).toBeGreaterThan(25);
    expect(count((s) => s.faults?.burst !== null)).toBeGreaterThan(5);
    expect(scenarios.every((s) => s.durationS >= 25 && s.durationS <= 90)).toBe(true);
  });
});

describe("modesPopulation(n, seed, kind)", () => {
  test.each(["kind", "unkind"] as const)("keeps %s modes within the stated ranges", (kind) => {
    for (const s of modesPopulation(60, 5, kind)) {
      expect(s.modes!.length).toBeLessThanOrEqual(3);
      for (const mode of s.modes!) {
        expect(mode.frequencyHz).toBeGreaterThanOrEqual(40);
        expect(mode.frequencyHz).toBeLessThanOrEqual(Math.min(700, 0.42 * s.logRateHz));
        expect(mode.dampingRatio).toBeGreaterThanOrEqual(0.005);
        expect(mode.dampingRatio).toBeLessThanOrEqual(0.04);
        expect(Object.values(mode.prominenceDb).every((db) => db >= 3 && db <= 25)).toBe(true);
        expect(mode.drift === undefined).toBe(kind === "kind");
      }
    }
  });

  test("flies to finite numbers with the truth asked for", () => {
    const scenario = modesPopulation(8, 6, "unkind").find((s) => s.modes!.length > 1)!;
    const { timeline, truth } = simulateFlight({ ...scenario, durationS: 25 });
    expect(truth.modes.map((m) => m.frequencyHz)).toEqual(scenario.modes!.map((m) => m.frequencyHz));
    expect(timeline.gyroRaw.yaw!.every(Number.isFinite)).toBe(true);
    for (const mode of truth.modes) {
      for (const { prominenceDb, averagedDb } of mode.axes)
        expect(averagedDb).toBeLessThanOrEqual(prominenceDb + 1e-9);
    }
  });
});

describe("noisePopulation(n, seed)", () => {
  test("holds no mode and no tone, and in every second flight no line", () => {
    const scenarios = noisePopulation(10, 3);
    expect(scenarios.every((s) => (s.modes ?? []).length === 0 && (s.tones ?? []).length === 0)).toBe(true);
    expect(scenarios.filter((s) => s.lines!.onceDps === 0)).toHaveLength(5);
  });
});

describe("craftOf(scenario)", () => {
  test("tells what a builder knows", () => {
    expect(craftOf({ seed: 1, durationS: 1, logRateHz: 1, rotors: { polePairs: 7, blades: 3 } })).toEqual({
      motorPoles: 14,
      blades: 3,
    });
  });
});
