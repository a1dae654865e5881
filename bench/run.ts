import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { makeLog } from "./make-log.js";
import { interleaved, type Job, type Timing } from "./timed-run.js";

/**
 * Times the built program beside a reference in the same run, on the same file, in turn. Machines differ: only the
 * ratios mean anything elsewhere. `npm run bench -- --rounds 5 --large` takes the 215 MB log too; `--huge` 1 GB.
 */
const here = (name: string): string => fileURLToPath(new URL(name, import.meta.url));
const option = (name: string): string | undefined => {
  const at = process.argv.indexOf(name);
  return at < 0 ? undefined : (process.argv[at + 1] ?? "");
};
const rounds = Number(option("--rounds") ?? 3);
const sizes: readonly { readonly name: string; readonly megabytes: number }[] = [
  { name: "21 MB", megabytes: 21 },
  ...(process.argv.includes("--small") ? [] : [{ name: "215 MB", megabytes: 215 }]),
  ...(process.argv.includes("--huge") ? [{ name: "1 GB", megabytes: 1040 }] : []),
];

/** A python with pandas and SciPy, for the reference script; null when there is none. */
function referencePython(): string | null {
  for (const python of ["python3", "/usr/bin/python3"]) {
    try {
      execFileSync(python, ["-c", "import pandas, scipy"], { stdio: "ignore" });
      return python;
    } catch {
      // Not this one: the next, or none, and the table says so.
    }
  }
  return null;
}

const node = process.execPath;
const memory = ["--import", here("report-memory.mjs")];
const cli = here("../bin/quietspar.js");

function jobsFor(log: string, folder: string, python: string | null): Job[] {
  return [
    ...(python === null ? [] : [{ name: "reference", command: python, args: [here("reference.py"), log] }]),
    { name: "spectra", command: node, args: [...memory, here("jobs/spectra.mjs"), log] },
    { name: "spectra, gzip", command: node, args: [...memory, here("jobs/spectra.mjs"), `${log}.gz`] },
    { name: "csv-parse", command: node, args: [...memory, here("jobs/csv-parse.mjs"), log] },
    { name: "scanner", command: node, args: [...memory, here("jobs/scanner.mjs"), log] },
    {
      name: "check",
      command: node,
      args: [...memory, cli, "check", log, "--quiet", "--out", join(folder, "out")],
    },
  ];
}

const START_UP: readonly Job[] = [
  { name: "node -e 0", command: node, args: ["-e", "0"] },
  { name: "--version", command: node, args: [cli, "--version"] },
  { name: "--help", command: node, args: [cli, "--help"] },
];

interface Row {
  readonly what: string;
  readonly ms: number;
  readonly ratioToReference: number | null;
  readonly peakMb: number | null;
}

function rowsOf(size: string, timings: Map<string, Timing>): Row[] {
  const reference = timings.get("reference")?.ms ?? timings.get("node -e 0")?.ms ?? null;
  return [...timings].map(([name, { ms, peakKb }]) => ({
    what: `${name} (${size})`,
    ms: Math.round(ms),
    ratioToReference: reference === null ? null : Math.round((ms / reference) * 100) / 100,
    peakMb: peakKb === null ? null : Math.round(peakKb / 1024),
  }));
}

async function bench(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), "bench-"));
  const python = referencePython();
  const rows: Row[] = rowsOf("start-up", await interleaved(START_UP, Math.max(rounds, 7)));
  try {
    for (const { name, megabytes } of sizes) {
      const log = join(folder, `${megabytes}.csv`);
      makeLog(log, megabytes);
      if (megabytes < 500) writeFileSync(`${log}.gz`, gzipSync(readFileSync(log), { level: 6 }));
      const jobs = jobsFor(log, folder, python).filter(
        (job) => megabytes < 500 || !job.name.includes("gzip"),
      );
      rows.push(...rowsOf(name, await interleaved(jobs, rounds)));
      rows.push({ what: `page (${name}), MB`, ms: 0, ratioToReference: null, peakMb: pageMegabytes(folder) });
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
  report(rows, python);
}

function pageMegabytes(folder: string): number {
  return Math.round(statSync(join(folder, "out", "report.html")).size / 1e4) / 100;
}

function report(rows: readonly Row[], python: string | null): void {
  if (python === null) console.log("No python with pandas and SciPy here: times without the reference.");
  console.table(rows);
  const machine = { node: process.version, rounds, reference: python === null ? null : "pandas + SciPy" };
  writeFileSync(here("results.json"), `${JSON.stringify({ ...machine, rows }, null, 2)}\n`);
}

await bench();
