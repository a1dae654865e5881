import { createReadStream, statSync } from "node:fs";
import { basename } from "node:path";
import { InputError } from "../errors.js";
import { cleanText } from "../text/clean-text.js";

/** Bytes per read: large enough that the hand-over costs nothing. */
const CHUNK = 1024 * 1024;

/**
 * The bytes of a log in chunks; "-" is standard input.
 *
 * @throws {InputError} "absent" (while iterating) when there is no such file, it is a directory, or may not be read
 */
export async function* readLog(path: string): AsyncGenerator<Uint8Array> {
  const file = path === "-" ? "stdin" : cleanText(basename(path));
  try {
    if (path !== "-" && statSync(path).isDirectory()) {
      throw new InputError("absent", "is a directory", "give the log file itself", { file });
    }
    const stream = path === "-" ? process.stdin : createReadStream(path, { highWaterMark: CHUNK });
    for await (const chunk of stream) yield chunk as Uint8Array;
  } catch (error) {
    throw asInputError(error, file);
  }
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
