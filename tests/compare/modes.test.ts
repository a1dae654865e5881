import { describe, expect, it } from "vitest";
import { compareFlights } from "../../src/compare/compare-flights.js";
import { shiftOf } from "../../src/compare/compare-modes.js";
import { pairModes } from "../../src/compare/pair-modes.js";
import { BLANK, mode } from "./flights.js";

const told = (offset: number) => ({ offset, speedKnown: true });

describe("pairModes", () => {
  it("pairs the nearest in frequency, not the first listed", () => {
    const { pairs } = pairModes([mode(100), mode(108)], [mode(107), mode(101)]);
    expect(pairs.map(([a, b]) => [a.frequencyHz, b.frequencyHz])).toEqual([
      [100, 101],
      [108, 107],
    ]);
  });
  it("prefers a mode on the same axis over one nearer by 2 % on another", () => {
    const other = mode(101, { axes: [{ axis: "yaw", prominenceDb: 12 }] });
    const { pairs, after } = pairModes([mode(100)], [other, mode(103)]);
    expect(pairs[0]![1].frequencyHz).toBe(103);
    expect(after).toEqual([other]);
  });
  it("prefers like damping between two that are equally near", () => {
    const { pairs } = pairModes([mode(100)], [mode(98, { dampingRatio: 0.06 }), mode(102)]);
    expect(pairs[0]![1].frequencyHz).toBe(102);
  });
  it("never pairs structure with payload sway, nor what lies an octave apart", () => {
    expect(pairModes([mode(20)], [mode(20, { kind: "payload" })]).pairs).toEqual([]);
    expect(pairModes([mode(50)], [mode(100)]).pairs).toEqual([]);
  });
});

describe("shiftOf", () => {
  it("gives the shift in Hz and per cent with an interval that holds both flights' and the assumed scatter", () => {
    const { shiftHz, shiftPercent, ci95Hz, pValue } = shiftOf([mode(100), mode(103)], told(0));
    expect(shiftHz).toBeCloseTo(3, 12);
    expect(shiftPercent).toBeCloseTo(3, 12);
    // √(2 · (0.5/1.96)² + (0.002 · 100 · √2)²) · 1.96 worked by hand: 0.8987
    expect((ci95Hz[1] - ci95Hz[0]) / 2).toBeCloseTo(0.8987, 3);
    expect(pValue).toBeLessThan(1e-8);
  });
  it("widens when a mode that drifts with thrust was flown at other speeds", () => {
    const drifting = [mode(100, { driftHz: -2 }), mode(101.5, { driftHz: -2 })] as const;
    expect(shiftOf(drifting, told(0)).pValue).toBeLessThan(0.01);
    expect(shiftOf(drifting, told(0.8)).pValue).toBeGreaterThan(0.05);
  });
  it("claims nothing of a mode that a second method does not find, unless the logs hold the rotors' speed", () => {
    const pair = [mode(100), mode(103, { agreement: "one" })] as const;
    expect(shiftOf(pair, { offset: 0, speedKnown: false }).pValue).toBe(1);
    expect(shiftOf(pair, told(0)).pValue).toBeLessThan(1e-8);
  });
});

describe("compareFlights on modes alone", () => {
  it("calls a mode that the other log could not show hidden, not vanished", () => {
    const before = { ...BLANK, modes: [mode(60), mode(100)] };
    const after = {
      ...BLANK,
      sha256: "e".repeat(64),
      modes: [mode(60)],
      unobservable: [{ fromHz: 95, toHz: 106, why: "a line lies here" }],
    };
    const { loneModes, answers } = compareFlights([before, after]);
    expect(loneModes.map((l) => l.inOther)).toEqual(["hidden"]);
    expect(answers.find((a) => a.question === "modes")!.finding).toBe("no difference");
  });
  it("says that a first mode moved up, nearer to the rotors' lines, which is worse", () => {
    const rotor = { ...BLANK.rotor, source: "telemetry", bandHz: [110, 140], medianHz: 125 } as const;
    const [before, after] = [90, 96].map((hz) => ({
      ...BLANK,
      rotor,
      modes: [mode(hz)],
      sha256: `${hz}`.repeat(32),
    }));
    const answer = compareFlights([before!, after!]).answers.find((a) => a.question === "first mode")!;
    expect(answer.finding).toBe("worse");
    expect(answer.sentence).toMatch(
      /moved up, nearer to the rotors' lines: 90\.0 Hz before, 96\.0 Hz after: \+6\.0 Hz/,
    );
  });
});
