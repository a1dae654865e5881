import { describe, expect, it } from "vitest";
import { compareFlights } from "../../src/compare/compare-flights.js";
import { BLANK, mode } from "./flights.js";

const one = { ...BLANK, name: "one.csv", modes: [mode(60)] };
const two = { ...BLANK, name: "two.csv", sha256: "e".repeat(64), modes: [mode(60)] };
const turning = { ...BLANK.rotor, source: "telemetry", bandHz: [70, 90], medianHz: 80 } as const;

describe("compareFlights refuses", () => {
  it("raw against filtered", () => {
    const { comparable, refusals, answers } = compareFlights([one, { ...two, gyro: "filtered" }]);
    expect(comparable).toBe(false);
    expect(refusals[0]).toMatch(/one\.csv holds the raw gyro and two\.csv only the filtered one/);
    expect(answers).toEqual([]);
  });
  it("other rates when rotor lines may fold, and only the levels when they cannot", () => {
    const slow = { ...two, sampleRateHz: 500 };
    expect(compareFlights([one, slow]).refusals[0]).toMatch(/1000 Hz.*500 Hz.*fold/);
    const known = compareFlights([
      { ...one, rotor: turning },
      { ...slow, rotor: turning },
    ]);
    expect(known.comparable).toBe(true);
    expect(known.answers[0]!.finding).toBe("cannot tell");
  });
  it("other propellers unless told", () => {
    const pair = [
      { ...one, craft: { propellerInch: 15 } },
      { ...two, craft: { propellerInch: 18 } },
    ];
    expect(compareFlights(pair).refusals[0]).toMatch(/other propellers: diameter.*--other-propeller/);
    const told = compareFlights(pair, { otherPropeller: true });
    expect(told.comparable).toBe(true);
    expect(told.caveats.join(" ")).toMatch(/Other propellers/);
  });
  it("logs with nothing in common, and says what a saved result lacks", () => {
    const saved = { ...two, saved: true, modes: [] };
    const { comparable, refusals } = compareFlights([{ ...one, modes: [] }, saved]);
    expect(comparable).toBe(false);
    expect(refusals.join(" ")).toMatch(
      /saved result of two\.csv does not hold levels by rotor speed: analyse its log again/,
    );
  });
});

describe("compareFlights warns", () => {
  it("of the same log given twice", () => {
    expect(compareFlights([one, one]).caveats.join(" ")).toMatch(/same bytes/);
  });
  it("that two flights cannot show the scatter between flights", () => {
    expect(compareFlights([one, two]).caveats.join(" ")).toMatch(/0\.4 dB .* are assumed/);
  });
});

describe("compareFlights throws", () => {
  it("RangeError on one flight, and on a change that leaves a side empty", () => {
    expect(() => compareFlights([one])).toThrow(RangeError);
    expect(() => compareFlights([one, two], { changeBefore: 1 })).toThrow(RangeError);
    expect(() => compareFlights([one, two], { changeBefore: 3 })).toThrow(RangeError);
  });
});
