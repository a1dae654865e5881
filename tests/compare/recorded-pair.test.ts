import { expect, test } from "vitest";
import { compareFlights } from "../../src/compare/compare-flights.js";
import { comparedFlight } from "../../src/compare/compared-flight.js";
import { analyse } from "../../src/index.js";
import { recorded } from "../real/recorded.js";

/**
 * Masalimov, Muslimov, Kozlov, Munasypov, "CrazyPAD: A Dataset for Assessing the Impact of Structural Defects on
 * Nano-Quadcopter Performance", Data 2024, 9(6), 79 (MIT): the same craft with whole propellers and with one cut.
 */
const normal = recorded("nanoquad_normal.csv");
const cut = recorded("nanoquad_cut_one_blade_3mm.csv");

test.skipIf(normal.absent || cut.absent)(
  `a cut propeller is louder above 20 Hz on roll and pitch, and nothing is said of motors${normal.note}`,
  async () => {
    const [before, after] = [await analyse(normal.path), await analyse(cut.path)];
    const c = compareFlights([comparedFlight(before), comparedFlight(after)]);
    expect(c.comparable).toBe(true);
    expect(c.answers[0]).toMatchObject({ question: "level", finding: "worse" });
    for (const axis of ["roll", "pitch"]) {
      const whole = c.axes.find((a) => a.axis === axis)!;
      expect(whole.significant).toBe(true);
      expect(whole.fromHz).toBeGreaterThan(20);
      expect(whole.ci95Db[0]).toBeGreaterThan(3);
    }
    expect([...c.orders, ...c.motors, ...c.modes]).toEqual([]);
    for (const question of ["once per turn", "motors", "first mode"]) {
      expect(c.answers.find((a) => a.question === question)!.finding).toBe("cannot tell");
    }
  },
);
