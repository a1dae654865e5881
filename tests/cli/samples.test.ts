import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { analyse, type Craft, type Result } from "../../src/index.js";

/** The table of samples/README.md: what the tool finds, as documented. */
const SAMPLES = join(import.meta.dirname, "../../samples");
const readme = readFileSync(join(SAMPLES, "README.md"), "utf8");
const rows = readme
  .split("\n")
  .filter((line) => /^\| `[a-z-]+` \|/.test(line))
  .map((line) => line.split("|").map((cell) => cell.trim()));
const craftOf = new Map(
  [...readme.matchAll(/\| `([a-z-]+)\.csv\.gz` \| `([a-z]+\.craft\.json)`/g)].map((m) => [m[1]!, m[2]!]),
);

test("samples/README.md documents every sample", () => {
  expect(rows.length).toBe(6);
  expect(craftOf.size).toBe(6);
});

describe.each(rows)("| %s| %s", (_lead, name, trueFirst, trueRotor, _stands, call, first) => {
  const sample = name!.replaceAll("`", "");
  const result: Promise<Result> = analyse(join(SAMPLES, `${sample}.csv.gz`), {
    craft: JSON.parse(readFileSync(join(SAMPLES, craftOf.get(sample)!), "utf8")) as Craft,
  });

  test("the call is the documented one", async () => {
    expect((await result).verdict.call).toBe(call);
  });

  test("the first mode is the documented one, and the true one where the log can show it", async () => {
    const { firstMode } = await result;
    if (first === "none") return expect(firstMode).toBeNull();
    const [low, high] = firstMode!.ci95Hz.map((hz) => hz.toFixed(1));
    expect(`${firstMode!.frequencyHz.toFixed(1)} Hz (${low} to ${high})`).toBe(first);
    const truth = Number(/^[\d.]+/.exec(trueFirst!)?.[0]);
    expect(Math.abs(firstMode!.frequencyHz - truth)).toBeLessThan(1);
  });

  test("the rotor's median speed is the true one within 3 %, or not given", async () => {
    const median = Number(/([\d.]+) Hz$/.exec(trueRotor!)?.[1]);
    const { rotor } = await result;
    if (rotor.medianHz !== null) expect(Math.abs(rotor.medianHz / median - 1)).toBeLessThan(0.03);
  });
});
