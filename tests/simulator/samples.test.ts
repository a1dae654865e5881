import { readFileSync } from "node:fs";
import { gunzipSync } from "node:zlib";
import { describe, expect, test } from "vitest";
import { CRAFTS } from "../../simulator/crafts.js";
import { deterministicGzip, sampleText, truthSummary } from "../../simulator/make-samples.js";
import { SAMPLES } from "../../simulator/samples.js";
import { simulateFlight } from "../../simulator/simulate.js";

const shipped = (name: string): Buffer => readFileSync(new URL(`../../samples/${name}`, import.meta.url));
const truths = JSON.parse(shipped("truth.json").toString()) as Record<string, unknown>;

describe("samples", () => {
  test.each(SAMPLES)("$name: the shipped file holds what the simulator makes, with its truth", (sample) => {
    const flight = simulateFlight(sample.scenario);
    const bytes = shipped(`${sample.name}.csv.gz`);
    expect(bytes.length).toBeLessThan(3e6);
    expect(gunzipSync(bytes).toString() === sampleText(sample, flight)).toBe(true);
    expect(truths[sample.name]).toEqual(truthSummary(flight));
  });

  test.each(SAMPLES)("$name: says in its first line that it is invented", (sample) => {
    expect(
      gunzipSync(shipped(`${sample.name}.csv.gz`))
        .toString()
        .split("\n")[0],
    ).toMatch(/invented/);
  });

  test.each(Object.entries(CRAFTS))("%s: the shipped craft file is the workshop's", (name, craft) => {
    expect(JSON.parse(shipped(`${name}.craft.json`).toString())).toEqual(craft);
  });

  test.each(SAMPLES)("$name: the craft file tells what was flown", ({ craft, scenario }) => {
    const { loopRateHz, rotors, blades, motorPoles, propellerInch } = CRAFTS[craft];
    expect(simulateFlight({ ...scenario, durationS: 4 }).truth.physicsRate).toBe(loopRateHz);
    expect(scenario.rotors).toMatchObject({
      count: rotors,
      blades,
      propellerInch,
      polePairs: motorPoles / 2,
    });
  });
});

describe("deterministicGzip(text)", () => {
  test("has no time stamp and names no system", () => {
    const bytes = deterministicGzip("a,b\n1,2\n");
    expect([...bytes.subarray(4, 8)]).toEqual([0, 0, 0, 0]);
    expect(bytes[9]).toBe(255);
    expect(gunzipSync(bytes).toString()).toBe("a,b\n1,2\n");
  });
});
