import { execFile } from "node:child_process";
import { mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { beforeAll, describe, expect, test } from "vitest";
import { simulateFlight } from "../../simulator/simulate.js";

const ROOT = fileURLToPath(new URL("../../", import.meta.url));
const folder = mkdtempSync(join(tmpdir(), "filters-"));
const log = join(folder, "flight.csv");
const filteredOnly = join(folder, "filtered-only.csv");

interface Ran {
  readonly status: number;
  readonly out: string;
  readonly err: string;
}

/** The program from source, one command line after the other in a process of its own; it prints what each did. */
const RUNNER = `
import { main } from ${JSON.stringify(pathToFileURL(join(ROOT, "src/cli/main.ts")).href)};
const real = process.stdout.write.bind(process.stdout);
const ran = [];
for (const args of JSON.parse(process.argv[2])) {
  const seen = { status: 0, out: "", err: "" };
  for (const [stream, key] of [[process.stdout, "out"], [process.stderr, "err"]]) {
    stream.write = (text, done) => {
      seen[key] += text;
      done?.();
      return true;
    };
  }
  process.exitCode = 0;
  await main(["node", "quietspar", ...args]);
  seen.status = process.exitCode;
  ran.push(seen);
}
process.exitCode = 0;
real(JSON.stringify(ran));
`;

const lines = {
  screen: ["filters", log, "--loop-rate", "4000", "--crossover", "25"],
  json: ["filters", log, "--json"],
  verbose: ["filters", log, "--verbose"],
  filteredOnly: ["filters", filteredOnly],
  slow: ["filters", log, "--loop-rate", "500"],
  none: ["filters", join(folder, "none.csv")],
  quiet: ["filters", log, "--quiet"],
} as const;
let ran: Readonly<Record<keyof typeof lines, Ran>>;
let before: Buffer;

beforeAll(async () => {
  const scenario = { seed: 5, durationS: 16, logRateHz: 1000, telemetry: {} } as const;
  writeFileSync(log, simulateFlight(scenario).csv());
  writeFileSync(filteredOnly, simulateFlight({ ...scenario, columns: { gyroRaw: false } }).csv());
  before = readFileSync(log);
  const runner = join(folder, "run.mts");
  writeFileSync(runner, RUNNER);
  const found = await new Promise<string>((resolve, reject) => {
    const run = ["--import", "tsx", runner, JSON.stringify(Object.values(lines))];
    execFile(process.execPath, run, { cwd: ROOT, maxBuffer: 1e8 }, (error, out, err) =>
      error === null ? resolve(out) : reject(new Error(err)),
    );
  });
  const all = JSON.parse(found) as Ran[];
  ran = Object.fromEntries(Object.keys(lines).map((key, i) => [key, all[i]!])) as typeof ran;
}, 120_000);

describe("quietspar filters", () => {
  test("prints one screen and ends with 0", () => {
    const { status, out, err } = ran.screen;
    expect(err).toBe("");
    expect(status).toBe(0);
    const shown = out.trimEnd().split("\n");
    expect(shown.length).toBeLessThanOrEqual(24);
    for (const line of shown) expect(line.length).toBeLessThanOrEqual(80);
    expect(shown[1]).toContain("Filter loop 4000 Hz, crossover 25 Hz, vibration from");
  });

  test("--json prints the section with the log it belongs to", () => {
    const { log: read, filters } = JSON.parse(ran.json.out);
    expect(ran.json.status).toBe(0);
    expect(read.file).toBe("flight.csv");
    expect(filters.candidates[0].role).toBe("this flight");
    for (const key of ["chain", "delayMs", "phaseDeg", "gyroRms", "dtermRms"])
      expect(filters.candidates[0]).toHaveProperty(key);
  });

  test("--verbose prints every measured axis and throttle level", () => {
    expect(ran.verbose.out).toMatch(/raw to D-term, pitch( at \d+ % throttle)?: \d/);
    expect(ran.screen.out).not.toContain("raw to D-term");
  });

  test("ends with 3 and says why when the raw gyro is not logged", () => {
    expect(ran.filteredOnly.status).toBe(3);
    expect(ran.filteredOnly.out).toContain("before filtering (raw)");
  });

  test("ends with 2 when the loop rate is below the log's, 66 when there is no such file", () => {
    expect([ran.slow.status, ran.slow.err]).toEqual([2, expect.stringContaining("does not fit this log")]);
    expect(ran.none.status).toBe(66);
  });

  test("leaves the log as it was", () => {
    expect(ran.quiet.out).toBe("");
    expect(readFileSync(log).equals(before)).toBe(true);
  });
});
