import { spawn } from "node:child_process";
import { fileURLToPath } from "node:url";

/** The program as a user runs it. */
const BIN = fileURLToPath(new URL("../../bin/quietspar.js", import.meta.url));

export interface Run {
  readonly status: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

export interface RunOptions {
  readonly cwd?: string;
  readonly input?: Uint8Array | string;
  readonly env?: NodeJS.ProcessEnv;
  /** Send this signal after so many milliseconds. */
  readonly signal?: { readonly name: NodeJS.Signals; readonly afterMs: number };
}

/** Runs the built program and waits for its end. */
export function runTool(args: readonly string[], options: RunOptions = {}): Promise<Run> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [BIN, ...args], {
      cwd: options.cwd,
      env: { ...process.env, FORCE_COLOR: undefined, ...options.env },
      stdio: ["pipe", "pipe", "pipe"],
    });
    let stdout = "";
    let stderr = "";
    child.stdout.setEncoding("utf8").on("data", (text: string) => {
      stdout += text;
    });
    child.stderr.setEncoding("utf8").on("data", (text: string) => {
      stderr += text;
    });
    child.on("error", reject);
    child.on("close", (status) => resolve({ status, stdout, stderr }));
    // A program that refuses its input early closes the pipe; that is its right.
    child.stdin.on("error", () => {});
    if (options.signal === undefined) child.stdin.end(options.input ?? "");
    else setTimeout(() => child.kill(options.signal?.name), options.signal.afterMs);
  });
}
