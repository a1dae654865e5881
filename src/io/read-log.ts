import { statSync } from "node:fs";
import { open } from "node:fs/promises";
import { basename } from "node:path";
import { InputError } from "../errors.js";
import { cleanText } from "../text/clean-text.js";

/** Bytes per read: large enough that the hand-over costs nothing. */
const CHUNK = 512 * 1024;

/**
 * The bytes of a log in chunks; "-" is standard input. A chunk is valid until the next one is asked for: a file is
 * read into one buffer over and over, so that its text never piles up in memory.
 *
 * @throws {InputError} "absent" (while iterating) when there is no such file, it is a directory, or may not be read
 */
export async function* readLog(path: string): AsyncGenerator<Uint8Array> {
  const file = path === "-" ? "stdin" : cleanText(basename(path));
  try {
    if (path === "-") for await (const chunk of process.stdin) yield chunk as Uint8Array;
    else yield* fileChunks(path, file);
  } catch (error) {
    throw asInputError(error, file);
  }
}

async function* fileChunks(path: string, file: string): AsyncGenerator<Uint8Array> {
  if (statSync(path).isDirectory())
    throw new InputError("absent", "is a directory", "give the log file itself", { file });
  const handle = await open(path);
  try {
    const buffer = Buffer.allocUnsafeSlow(CHUNK);
    for (;;) {
      const { bytesRead } = await handle.read(buffer, 0, CHUNK, null);
      if (bytesRead === 0) return;
      yield buffer.subarray(0, bytesRead);
    }
  } finally {
    await handle.close();
  }
}

/** Size of a log in bytes, to reckon with; undefined where it cannot be known. */
export function sizeOfLog(path: string): number | undefined {
  if (path === "-") return undefined;
  const stat = statSync(path, { throwIfNoEntry: false });
  return stat?.isFile() ? stat.size : undefined;
}

const WHY: Readonly<Record<string, string>> = {
  ENOENT: "no such file",
  EACCES: "may not be read",
  EPERM: "may not be read",
  EISDIR: "is a directory",
};

function asInputError(error: unknown, file: string): unknown {
  if (error instanceof InputError) return error;
  const { code } = error as NodeJS.ErrnoException;
  if (code === undefined) return error;
  return new InputError("absent", WHY[code] ?? `cannot be read (${code})`, "check the path", { file });
}
