import { spawn } from "node:child_process";

/** What one run of a command took. */
export interface Timing {
  readonly ms: number;
  /** Peak resident memory, kB; null when the command does not tell. */
  readonly peakKb: number | null;
}

/** Runs a command to its end and times it, wall clock. @throws when it fails with another status than 0, 1 or 3. */
export function timedRun(command: string, args: readonly string[]): Promise<Timing> {
  return new Promise((resolve, reject) => {
    const started = performance.now();
    const child = spawn(command, args, { stdio: ["ignore", "pipe", "pipe"] });
    let said = "";
    let out = "";
    child.stderr.setEncoding("utf8").on("data", (text: string) => {
      said += text;
    });
    child.stdout.setEncoding("utf8").on("data", (text: string) => {
      out = (out + text).slice(-200);
    });
    child.on("error", reject);
    child.on("close", (status) => {
      if (status !== 0 && status !== 1 && status !== 3)
        reject(new Error(`${command} ${args.join(" ")}: ${said}`));
      const peak = /peak-kB (\d+)/.exec(said)?.[1] ?? /^\s*(\d+)\s*$/.exec(out)?.[1];
      resolve({ ms: performance.now() - started, peakKb: peak === undefined ? null : Number(peak) });
    });
  });
}

/** A command to be timed. */
export interface Job {
  readonly name: string;
  readonly command: string;
  readonly args: readonly string[];
}

/** Runs jobs in turn, `rounds` times over, so that a slow minute of the machine falls on all; medians. */
export async function interleaved(jobs: readonly Job[], rounds: number): Promise<Map<string, Timing>> {
  const runs = new Map<string, Timing[]>(jobs.map((job) => [job.name, []]));
  for (let round = 0; round < rounds; round++) {
    for (const job of jobs) runs.get(job.name)?.push(await timedRun(job.command, job.args));
  }
  return new Map([...runs].map(([name, timings]) => [name, medianOf(timings)]));
}

function medianOf(timings: readonly Timing[]): Timing {
  const byTime = [...timings].sort((a, b) => a.ms - b.ms);
  const peaks = timings.map((t) => t.peakKb).filter((kb) => kb !== null);
  return {
    ms: byTime[Math.floor(byTime.length / 2)]?.ms ?? Number.NaN,
    peakKb: peaks.length === 0 ? null : Math.max(...peaks),
  };
}
