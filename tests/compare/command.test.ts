import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { simulateFlight } from "../../simulator/simulate.js";
import type { Comparison } from "../../src/compare/comparison.js";
import { schemaErrors } from "../../src/io/schema.js";
import { runTool } from "../cli/run-tool.js";

let folder = "";
const at = (name: string): string => join(folder, name);

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "compare-"));
  const craft = { craftSeed: 5, referenceHz: 100, durationS: 20, logRateHz: 500, telemetry: {} } as const;
  writeFileSync(at("before.csv"), simulateFlight({ seed: 1, ...craft }).csv());
  writeFileSync(at("after.csv"), simulateFlight({ seed: 2, ...craft }).csv());
  const onlyFiltered = { gyroRaw: false, gyroFiltered: true };
  writeFileSync(at("filtered.csv"), simulateFlight({ seed: 2, ...craft, columns: onlyFiltered }).csv());
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

test("compare BEFORE AFTER prints 24 lines at most and exits 0; --out writes page and numbers", async () => {
  const run = await runTool(["compare", at("before.csv"), at("after.csv"), "--out", at("out")]);
  expect(run.stderr).toBe("");
  expect(run.status).toBe(0);
  expect(run.stdout.trimEnd().split("\n").length).toBeLessThanOrEqual(24);
  expect(readdirSync(at("out")).sort()).toEqual(["comparison.html", "comparison.json"]);
});

test("compare --json gives with a saved result what it gives with the log, and keeps its schema", async () => {
  await runTool(["check", at("before.csv"), "--out", at("saved"), "--format", "json"]);
  const fresh = await runTool(["compare", at("before.csv"), at("after.csv"), "--json"]);
  const saved = await runTool(["compare", at("saved/result.json"), at("after.csv"), "--json"]);
  const comparison = JSON.parse(fresh.stdout) as Comparison;
  expect(await schemaErrors("comparison", comparison)).toEqual([]);
  expect((JSON.parse(saved.stdout) as Comparison).bands).toEqual(comparison.bands);
});

test("compare says what a result of an earlier version lacks, and still compares what it holds", async () => {
  await runTool(["check", at("before.csv"), "--out", at("saved"), "--format", "json"]);
  const { fingerprint: _gone, ...older } = JSON.parse(readFileSync(at("saved/result.json"), "utf8"));
  writeFileSync(at("older.json"), JSON.stringify(older));
  const run = await runTool(["compare", at("older.json"), at("after.csv"), "--json"]);
  const { bands, answers, refusals } = JSON.parse(run.stdout) as Comparison;
  expect(bands).toEqual([]);
  expect([...answers.map((a) => a.sentence), ...refusals].join(" ")).toMatch(/analyse its log again/);
});

test("compare exits 3 on raw against filtered, 2 on wrong usage, 65 on what is no result, 66 on no file", async () => {
  const refused = await runTool(["compare", at("before.csv"), at("filtered.csv")]);
  expect(refused.status).toBe(3);
  expect(refused.stdout).toMatch(/raw gyro/);
  expect((await runTool(["compare", at("before.csv")])).status).toBe(2);
  expect((await runTool(["compare", at("before.csv"), at("after.csv"), "--change-before", "3"])).status).toBe(
    2,
  );
  writeFileSync(at("other.json"), "{}");
  expect((await runTool(["compare", at("other.json"), at("after.csv")])).status).toBe(65);
  expect((await runTool(["compare", at("absent.csv"), at("after.csv")])).status).toBe(66);
});
