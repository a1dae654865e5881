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

/** The program from source; a file of its own, since commander reads arguments differently under --eval. */
const runner = join(folder, "run.mts");

beforeAll(() => {
  const main = pathToFileURL(join(ROOT, "src/cli/main.ts")).href;
  writeFileSync(runner, `import { main } from ${JSON.stringify(main)};\nawait main(process.argv);\n`);
  const scenario = { seed: 5, durationS: 24, logRateHz: 1000, telemetry: {} } as const;
  writeFileSync(log, simulateFlight(scenario).csv());
  writeFileSync(filteredOnly, simulateFlight({ ...scenario, columns: { gyroRaw: false } }).csv());
});

interface Ran {
  readonly status: number;
  readonly out: string;
  readonly err: string;
}

function quietspar(...args: string[]): Promise<Ran> {
  return new Promise((resolve) => {
    const run = ["--import", "tsx", runner, ...args];
    execFile(process.execPath, run, { cwd: ROOT, maxBuffer: 1e8 }, (error, out, err) => {
      resolve({ status: error === null ? 0 : Number(error.code), out, err });
    });
  });
}

describe("quietspar filters", () => {
  test("prints one screen and ends with 0", async () => {
    const { status, out, err } = await quietspar("filters", log, "--loop-rate", "4000", "--crossover", "25");
    expect(err).toBe("");
    expect(status).toBe(0);
    const lines = out.trimEnd().split("\n");
    expect(lines.length).toBeLessThanOrEqual(24);
    for (const line of lines) expect(line.length).toBeLessThanOrEqual(80);
    expect(lines[1]).toContain("Filter loop 4000 Hz, crossover 25 Hz, vibration from");
  });

  test("--json prints the section with the log it belongs to", async () => {
    const { status, out } = await quietspar("filters", log, "--json");
    const { log: read, filters } = JSON.parse(out);
    expect(status).toBe(0);
    expect(read.file).toBe("flight.csv");
    expect(filters.candidates[0].role).toBe("this flight");
    for (const key of ["chain", "delayMs", "phaseDeg", "gyroRms", "dtermRms"])
      expect(filters.candidates[0]).toHaveProperty(key);
  });

  test("ends with 3 and says why when the raw gyro is not logged", async () => {
    const { status, out } = await quietspar("filters", filteredOnly);
    expect(status).toBe(3);
    expect(out).toContain("before filtering (raw)");
  });

  test("ends with 2 when the loop rate is below the log's, 66 when there is no such file", async () => {
    const slow = await quietspar("filters", log, "--loop-rate", "500");
    expect([slow.status, slow.err]).toEqual([2, expect.stringContaining("does not fit this log")]);
    expect((await quietspar("filters", join(folder, "none.csv"))).status).toBe(66);
  });

  test("leaves the log as it was", () => {
    const before = readFileSync(log);
    return quietspar("filters", log, "--quiet").then(({ out }) => {
      expect(out).toBe("");
      expect(readFileSync(log).equals(before)).toBe(true);
    });
  });
});
