import { createHash } from "node:crypto";
import { cpSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { gunzipSync } from "node:zlib";
import { afterAll, beforeAll, expect, test } from "vitest";
import { schemaErrors } from "../../src/io/schema.js";
import type { Result } from "../../src/result.js";
import { runTool } from "./run-tool.js";

const SAMPLES = join(import.meta.dirname, "../../samples");
const QUIET = join(SAMPLES, "heavy-lifter-quiet.csv.gz");
const logs = readdirSync(SAMPLES).filter((name) => /\.csv(\.gz)?$/.test(name));
let folder = "";

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "check-"));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

test.each(logs)("check %s --json prints one result that keeps the schema", async (name) => {
  const run = await runTool(["check", join(SAMPLES, name), "--json"]);
  const result = JSON.parse(run.stdout) as Result;
  expect(await schemaErrors("result", result)).toEqual([]);
  expect(result.log.file).toBe(name);
  expect(result.log.sha256).toBe(
    createHash("sha256")
      .update(readFileSync(join(SAMPLES, name)))
      .digest("hex"),
  );
});

test("the same log gives the same bytes twice, page and charts too", async () => {
  const [a, b] = [join(folder, "a"), join(folder, "b")];
  for (const out of [a, b]) await runTool(["check", QUIET, "--out", out, "--format", "html,json,svg,csv"]);
  expect(readdirSync(a).sort()).toEqual(readdirSync(b).sort());
  expect(readdirSync(a)).toContain("report.html");
  expect(readdirSync(a)).toContain("result.json");
  for (const name of readdirSync(a))
    expect(readFileSync(join(a, name)).equals(readFileSync(join(b, name)))).toBe(true);
});

test("check LOG writes a folder named after the log, beside it", async () => {
  const log = join(folder, "flight-07.csv.gz");
  cpSync(QUIET, log);
  const run = await runTool(["check", log]);
  expect(existsSync(join(folder, "flight-07", "report.html"))).toBe(true);
  expect(run.stdout).toContain("report.html");
});

test("the text verdict keeps to 24 lines of 80 columns and has no colour when piped", async () => {
  for (const name of logs) {
    const run = await runTool(["check", join(SAMPLES, name), "--out", join(folder, "text")]);
    const lines = run.stdout.trimEnd().split("\n");
    expect(lines.length).toBeLessThanOrEqual(24);
    expect(Math.max(...lines.map((line) => Array.from(line).length))).toBeLessThanOrEqual(80);
    expect(run.stdout).not.toContain("\u001b");
    expect(run.stdout.toLowerCase()).toMatch(/quiet|marginal|loud|undetermined/);
  }
});

test("--json writes no file unless --out is given, and prints nothing else", async () => {
  const log = join(folder, "lonely.csv.gz");
  cpSync(QUIET, log);
  const run = await runTool(["check", log, "--json"], { cwd: folder });
  expect(existsSync(join(folder, "lonely"))).toBe(false);
  expect(() => JSON.parse(run.stdout)).not.toThrow();
});

test("check - reads standard input and gives the numbers of the same file", async () => {
  const bytes = gunzipSync(readFileSync(QUIET));
  const piped = await runTool(["check", "-", "--json"], { input: bytes });
  const named = await runTool(["check", QUIET, "--json"]);
  const [a, b] = [JSON.parse(piped.stdout) as Result, JSON.parse(named.stdout) as Result];
  expect(a.log.file).toBe("stdin");
  expect(a.firstMode).toEqual(b.firstMode);
  expect(a.verdict).toEqual(b.verdict);
});

test("--quiet prints nothing and still writes the files", async () => {
  const out = join(folder, "quiet");
  const run = await runTool(["check", QUIET, "--quiet", "--out", out]);
  expect(run.stdout).toBe("");
  expect(run.stderr).toBe("");
  expect(existsSync(join(out, "report.html"))).toBe(true);
});

test("no result holds an absolute path, NaN or the name of the machine", async () => {
  const run = await runTool(["check", QUIET, "--json"]);
  const { hostname } = await import("node:os");
  expect(run.stdout).not.toContain(SAMPLES);
  expect(run.stdout).not.toMatch(/NaN|Infinity/);
  if (hostname().length > 4) expect(run.stdout).not.toContain(hostname());
});
