import { describe, expect, it } from "vitest";
import { candidates, discoveryLimit, overSearch, scan } from "../../src/modes/candidates.js";
import { localFloor, logQuantile30 } from "../../src/modes/local-floor.js";
import { gammaNoise, modeTheta, noisyModel } from "./noise.js";

describe("localFloor(log, shape, df)", () => {
  it("is unbiased on gamma noise, although it reads the 30th percentile", () => {
    const log = gammaNoise(500, 12, 2).map(Math.log);
    const { level } = localFloor(log, new Float64Array(500).fill(12), 1);
    const mean = level.slice(50, 450).reduce((s, v) => s + v, 0) / 400;
    expect(Math.abs(mean)).toBeLessThan(0.06);
  });

  it("logQuantile30 tends to 0 with many averages", () => {
    expect(logQuantile30(1e8)).toBeCloseTo(0, 3);
  });
});

describe("scan and discoveryLimit", () => {
  it("keep the stated chance of any discovery in plain noise: 10 % of 300 records within sampling error", () => {
    let alarms = 0;
    for (let seed = 1; seed <= 300; seed++) {
      const found = scan(noisyModel([0, 0], { bins: 400, df: 1, frames: 40, seed }));
      const limit = discoveryLimit([found], 0.1);
      if (found.p.some((p) => p <= limit)) alarms++;
    }
    // these bins are independent (no Hann correlation), so the search is a little cautious here
    expect(alarms / 300).toBeLessThan(0.1 + 2 * Math.sqrt((0.1 * 0.9) / 300));
  });

  it("find a mode of 8 dB among 400 bins", () => {
    const average = noisyModel([0, 0, ...modeTheta(150, 0.015, 5.3)], {
      bins: 400,
      df: 1,
      frames: 40,
      seed: 7,
    });
    const found = scan(average);
    const best = candidates(found, 1, discoveryLimit([found], 0.01))[0]!;
    expect(Math.abs(best.frequencyHz - 150)).toBeLessThanOrEqual(2);
    expect(best.searchP).toBeLessThan(1e-6);
  });

  it("overSearch: of 100 places with p 0.001 each, one in ten gives an alarm", () => {
    expect(overSearch(0.001, 100)).toBeCloseTo(1 - 0.999 ** 100, 12);
  });
});
