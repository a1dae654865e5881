import { chmodSync, mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { errorLine } from "../../src/cli/error-line.js";
import { EXIT, statusOfCall, statusOfError } from "../../src/cli/exit-status.js";
import { InputError } from "../../src/errors.js";
import { runTool } from "./run-tool.js";

const SAMPLES = join(import.meta.dirname, "../../samples");
const QUIET = join(SAMPLES, "heavy-lifter-quiet.csv.gz");
const LOUD = join(SAMPLES, "lifter-mode-in-motor-band.csv.gz");
const SHORT = join(SAMPLES, "too-short.csv.gz");
let folder = "";

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "exit-status-"));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const oneLine = (text: string): boolean => /^quietspar: [^\n]+\n$/.test(text);

test("check of a quiet build ends with 0", async () => {
  const run = await runTool(["check", QUIET, "--json"]);
  expect(run.stderr).toBe("");
  expect(run.status).toBe(0);
});

test("check of a loud build ends with 1", async () => {
  expect((await runTool(["check", LOUD, "--json"])).status).toBe(1);
});

test("check of a marginal build ends with 0, and with 1 under --strict", async () => {
  const marginal = join(SAMPLES, "loose-arm-before.csv.gz");
  expect((await runTool(["check", marginal, "--json"])).status).toBe(0);
  expect((await runTool(["check", marginal, "--json", "--strict"])).status).toBe(1);
});

test("check of a log too short to judge ends with 3", async () => {
  expect((await runTool(["check", SHORT, "--json"])).status).toBe(3);
});

test("statusOfCall(call, strict) counts marginal as loud only under strict", () => {
  expect(statusOfCall("marginal", false)).toBe(0);
  expect(statusOfCall("marginal", true)).toBe(1);
  expect(statusOfCall("undetermined", true)).toBe(3);
  expect(statusOfCall("quiet", true)).toBe(0);
});

test.each([
  ["an unknown command", ["weigh"]],
  ["an unknown option", ["check", "x.csv", "--frobnicate"]],
  ["a missing argument", ["check"]],
  ["a number that is none", ["check", "x.csv", "--from", "soon"]],
  ["a range that is empty", ["check", QUIET, "--from", "9", "--to", "3"]],
  ["an unknown format", ["check", QUIET, "--format", "gif"]],
  ["an unknown reason", ["explain", "bad-karma"]],
])("%s ends with 2 and one clear message", async (_what, args) => {
  const run = await runTool(args);
  expect(run.status).toBe(2);
  expect(run.stdout).toBe("");
  expect(run.stderr).not.toBe("");
});

test.each([
  ["an empty file", ""],
  ["prose", "Dear customer,\nthe craft flew well.\n"],
  ["a table without a gyro", "time (s),height (m)\n0,1\n0.001,2\n0.002,3\n"],
  ["a picture", "\u0089PNG\r\n\u001a\n\0\0\0\rIHDR"],
])("%s ends with 65 and one line", async (what, text) => {
  const path = join(folder, `${what.replaceAll(" ", "-")}.csv`);
  writeFileSync(path, text, "latin1");
  const run = await runTool(["check", path]);
  expect(run.stderr).toSatisfy(oneLine);
  expect(run.stderr).toContain(".csv");
  expect(run.status).toBe(65);
  expect(readdirSync(folder).filter((name) => !name.endsWith(".csv"))).toEqual([]);
});

test("no such file, and a directory, end with 66 and one line", async () => {
  for (const path of [join(folder, "absent.csv"), folder]) {
    const run = await runTool(["check", path]);
    expect(run.status).toBe(66);
    expect(run.stderr).toSatisfy(oneLine);
  }
});

test.skipIf(process.getuid?.() === 0)("a file that may not be read ends with 66", async () => {
  const path = join(folder, "secret.csv");
  writeFileSync(path, "time,gyro\n");
  chmodSync(path, 0o000);
  expect((await runTool(["check", path])).status).toBe(66);
});

test("output that cannot be written ends with 74 and leaves nothing behind", async () => {
  const blocker = join(folder, "blocker.csv");
  writeFileSync(blocker, "in the way");
  const run = await runTool(["check", QUIET, "--out", join(blocker, "report")]);
  expect(run.status).toBe(74);
  expect(run.stderr).toSatisfy(oneLine);
});

test("a full disk on standard output ends with 74", async () => {
  const { spawnSync } = await import("node:child_process");
  const bin = join(import.meta.dirname, "../../bin/quietspar.js");
  const shell = spawnSync("sh", [
    "-c",
    `"$0" "$1" check "$2" --json > /dev/full`,
    process.execPath,
    bin,
    QUIET,
  ]);
  expect(shell.status).toBe(74);
});

test("an internal error ends with 70, says that it is a defect and keeps its stack for --verbose", () => {
  expect(statusOfError(new TypeError("x is not a function"))).toBe(70);
  expect(errorLine(new TypeError("x is not a function"))).toContain("defect");
  expect(statusOfError(new InputError("content", "no gyro"))).toBe(65);
});

test("a program that cannot load ends with 70, never with the runtime's own 1", async () => {
  const broken = mkdtempSync(join(tmpdir(), "broken-"));
  const { cpSync } = await import("node:fs");
  mkdirSync(join(broken, "bin"));
  cpSync(join(import.meta.dirname, "../../bin/quietspar.js"), join(broken, "bin/quietspar.js"));
  writeFileSync(join(broken, "package.json"), '{"type":"module"}');
  const { spawnSync } = await import("node:child_process");
  expect(spawnSync(process.execPath, [join(broken, "bin/quietspar.js"), "--version"]).status).toBe(70);
  rmSync(broken, { recursive: true });
});

test("an interrupt ends with 130 and a termination with 143", async () => {
  const interrupted = await runTool(["check", "-"], { signal: { name: "SIGINT", afterMs: 900 } });
  expect(interrupted.status).toBe(EXIT.interrupt);
  const ended = await runTool(["check", "-"], { signal: { name: "SIGTERM", afterMs: 900 } });
  expect(ended.status).toBe(EXIT.termination);
});

test("help and version end with 0 and carry an example", async () => {
  for (const args of [
    ["--help"],
    ["check", "--help"],
    ["columns", "--help"],
    ["explain", "--help"],
    ["sortie", "--help"],
  ]) {
    const run = await runTool(args);
    expect(run.status).toBe(0);
    expect(run.stdout).toContain("Example");
    expect(Math.max(...run.stdout.split("\n").map((line) => line.length))).toBeLessThanOrEqual(80);
  }
  expect((await runTool(["--version"])).stdout).toMatch(/^\d+\.\d+\.\d+\n$/);
});
