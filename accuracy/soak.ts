import { spawn } from "node:child_process";
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { randomStream } from "../simulator/random.js";
import { analyse } from "../src/index.js";

/**
 * What takes too long for a test: the program is killed at random moments, and no report may be left half-written;
 * the library is called over and over, and its memory may not grow.
 *
 *   npm run soak -- --kills 60 --calls 60
 */
const option = (name: string, otherwise: number): number => {
  const at = process.argv.indexOf(name);
  return at < 0 ? otherwise : Number(process.argv[at + 1]);
};
const BIN = join(import.meta.dirname, "../bin/quietspar.js");
const SAMPLE = join(import.meta.dirname, "../samples/too-short.csv.gz");
const random = randomStream(option("--seed", 1), "soak");

function run(out: string, killAfterMs: number | null): Promise<number | null> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [BIN, "check", SAMPLE, "--quiet", "--out", out], {
      stdio: "ignore",
    });
    child.on("error", reject);
    child.on("close", (status) => resolve(status));
    if (killAfterMs !== null)
      setTimeout(() => child.kill(random.chance(0.5) ? "SIGKILL" : "SIGTERM"), killAfterMs);
  });
}

/** Every file under its final name is whole: equal to that of an undisturbed run. */
function broken(out: string, whole: string): string[] {
  if (!existsSync(out)) return [];
  return readdirSync(out)
    .filter((name) => !name.endsWith(".partial"))
    .filter((name) => !readFileSync(join(out, name)).equals(readFileSync(join(whole, name))));
}

async function killLoop(kills: number): Promise<number> {
  const folder = mkdtempSync(join(tmpdir(), "soak-"));
  const whole = join(folder, "whole");
  const started = performance.now();
  await run(whole, null);
  const took = performance.now() - started;
  let bad = 0;
  let finished = 0;
  for (let k = 0; k < kills; k++) {
    const out = join(folder, String(k));
    const status = await run(out, random.uniform() * took * 1.1);
    if (status === 3) finished++;
    const names = broken(out, whole);
    if (names.length > 0) {
      bad++;
      console.log(`kill ${k}: half-written ${names.join(", ")}`);
    }
    rmSync(out, { recursive: true, force: true });
  }
  rmSync(folder, { recursive: true });
  console.log(`kills: ${kills} (${finished} had finished before), ${bad} left a half-written file`);
  return bad;
}

async function callLoop(calls: number): Promise<number> {
  const bytes = readFileSync(SAMPLE);
  const levels: number[] = [];
  for (let k = 0; k < calls; k++) {
    await analyse(bytes);
    globalThis.gc?.();
    levels.push(process.memoryUsage().rss / 1e6);
  }
  const middle = levels[Math.floor(calls / 2)] ?? Number.NaN;
  const last = levels.at(-1) ?? Number.NaN;
  console.log(`calls: ${calls}, resident ${middle.toFixed(0)} MB half way, ${last.toFixed(0)} MB at the end`);
  return last > 1.3 * middle + 20 ? 1 : 0;
}

const bad = (await killLoop(option("--kills", 60))) + (await callLoop(option("--calls", 60)));
process.exitCode = bad > 0 ? 1 : 0;
