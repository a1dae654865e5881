import { describe, expect, it } from "vitest";
import { compareFlights } from "../../src/compare/compare-flights.js";
import type { ComparedFlight } from "../../src/compare/compared-flight.js";
import type { Comparison, Question } from "../../src/compare/comparison.js";
import { schemaErrors } from "../../src/io/schema.js";
import { renderCompareJson } from "../../src/render/compare-json.js";
import { fly } from "./flights.js";

const before = fly(1);
const harder = fly(2, {
  flight: { profile: "cruise", gustDps: 5, motionDps: 25, controlActivity: 0.02 },
  rotors: { hoverThrottle: 0.4 },
});
const built = fly(3, {
  flight: { profile: "cruise" },
  wash: { density: 0.04 * 10 ** (2 / 20) },
  rotors: { bad: { motor: 2, factor: 2 } },
  modes: [{ frequencyHz: 154.5, dampingRatio: 0.015, prominenceDb: { roll: 15, pitch: 12 } }],
});

const answer = (c: Comparison, question: Question) => c.answers.find((a) => a.question === question)!;

describe("compareFlights on one craft flown differently", () => {
  const c = compareFlights([before, harder]);
  it("matches by rotor speed and claims nothing", () => {
    expect(c.settings.matchedBy).toBe("rotor speed");
    expect(c.bands.length).toBeGreaterThan(20);
    expect(
      [...c.bands, ...c.axes, ...c.orders, ...c.motors, ...c.modes].filter((x) => x.significant),
    ).toEqual([]);
    expect(c.answers.filter((a) => a.question !== "call").map((a) => a.finding)).not.toContain("worse");
  });
  it("gives intervals that hold 0 in nearly all bands", () => {
    const held = c.bands.filter((b) => b.ci95Db[0] < 0 && b.ci95Db[1] > 0).length;
    expect(held / c.bands.length).toBeGreaterThan(0.9);
  });
});

describe("compareFlights on a craft that was changed", () => {
  const c = compareFlights([before, built]);
  it("finds 2 dB more between the lines on every axis", () => {
    expect(answer(c, "level").finding).toBe("worse");
    for (const axis of c.axes) expect(Math.abs(axis.ratioDb - 2)).toBeLessThan(0.8);
  });
  it("names the one motor that got worse, by about 6 dB", () => {
    const sure = c.motors.filter((m) => m.significant);
    expect(sure.map((m) => m.motor)).toEqual([2]);
    expect(Math.abs(sure[0]!.ratioDb - 6)).toBeLessThan(2);
  });
  it("finds the mode moved by 3 %", () => {
    expect(c.modes[0]!.significant).toBe(true);
    expect(c.modes[0]!.ci95Percent[0]).toBeLessThan(3);
    expect(c.modes[0]!.ci95Percent[1]).toBeGreaterThan(3);
  });
  it("turns round when the flights change places", () => {
    const back = compareFlights([built, before]);
    expect(answer(back, "level").finding).toBe("better");
    expect(back.bands[3]!.ratioDb).toBeCloseTo(-c.bands[3]!.ratioDb, 6);
  });
  it("makes JSON that its schema accepts", async () => {
    expect(await schemaErrors("comparison", JSON.parse(renderCompareJson(c)))).toEqual([]);
  });
});

describe("compareFlights with a mode that is gone", () => {
  it("calls it absent when the other log would have shown it", () => {
    const without = fly(4, { modes: [] });
    const lone = compareFlights([before, without]).loneModes;
    expect(lone.map((l) => [l.side, l.inOther])).toEqual([["before", "absent"]]);
  });
});

describe("compareFlights on repeats", () => {
  const repeats: ComparedFlight[] = [before, harder, fly(5), built];
  it("estimates the scatter between flights of one build and draws a trend", () => {
    const c = compareFlights(repeats, { changeBefore: 4 });
    expect(c.settings.scatterFrom).toBe("flights");
    // the invented craft does not scatter from flight to flight, so repeats must lower what was assumed
    expect(c.settings.scatterDb).toBeLessThan(0.4);
    expect(c.flights.map((f) => f.side)).toEqual(["before", "before", "before", "after"]);
    expect(answer(c, "level").finding).toBe("worse");
    expect(c.trend).toHaveLength(4);
    expect(c.trend[3]!.axes[0]!.ratioDb).toBeGreaterThan(1);
    expect(Math.abs(c.trend[1]!.axes[0]!.ratioDb)).toBeLessThan(1);
  });
  it("narrows the intervals against a single flight", () => {
    const width = (c: Comparison): number => c.axes[0]!.ci95Db[1] - c.axes[0]!.ci95Db[0];
    expect(width(compareFlights(repeats, { changeBefore: 4 }))).toBeLessThan(
      width(compareFlights([before, built])),
    );
  });
});
