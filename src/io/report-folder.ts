import {
  accessSync,
  constants,
  existsSync,
  mkdirSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { basename, dirname, join, resolve } from "node:path";
import { InputError } from "../errors.js";

/** A file to be written: name inside the folder, and its bytes or text. */
export interface OutputFile {
  readonly name: string;
  readonly content: string | Uint8Array;
}

/** Endings that are dropped from a log's name to name its folder. */
const ENDINGS = /(\.(csv|tsv|txt|log|gz|gzip|zst|zstd))+$/i;

/**
 * Name of the folder for a log: its own name without endings; "stdin" for standard input.
 *
 * @example folderName("flights/lifter-03.csv.gz") // "lifter-03"
 */
export function folderName(log: string): string {
  if (log === "-") return "stdin";
  const name = basename(log);
  const stem = name.replace(ENDINGS, "");
  return stem === "" || stem === name ? `${name}-report` : stem;
}

/** Where a report goes, and whether that is the fallback in the current folder. */
export interface FolderChoice {
  readonly folder: string;
  readonly fallback: boolean;
}

/**
 * Chooses the folder: the one asked for; else one beside the log; else, where that cannot be written, one in
 * the current folder.
 */
export function chooseFolder(log: string, asked: string | undefined): FolderChoice {
  if (asked !== undefined) return { folder: asked, fallback: false };
  const name = folderName(log);
  if (log === "-") return { folder: name, fallback: false };
  const beside = join(dirname(log), name);
  return canWriteInto(beside) ? { folder: beside, fallback: false } : { folder: name, fallback: true };
}

function canWriteInto(folder: string): boolean {
  const target = existsSync(folder) ? folder : dirname(resolve(folder));
  try {
    accessSync(target, constants.W_OK);
    return statSync(target).isDirectory();
  } catch {
    // Not being able to look is the answer: the caller then says where it writes instead.
    return false;
  }
}

/**
 * Writes files into a folder, each whole or not at all: to a name of its own first, then renamed.
 * Synchronous, so that an interrupt falls before or after the writing and never inside it.
 *
 * @throws {InputError} "output" when the folder or a file cannot be written
 */
export function writeFiles(folder: string, files: readonly OutputFile[]): void {
  const partials: string[] = [];
  try {
    mkdirSync(folder, { recursive: true });
    for (const { name, content } of files) {
      const partial = join(folder, `.${name}.partial`);
      partials.push(partial);
      writeFileSync(partial, content);
    }
    for (const { name } of files) renameSync(join(folder, `.${name}.partial`), join(folder, name));
  } catch (error) {
    for (const partial of partials) rmSync(partial, { force: true });
    throw notWritable(error, folder);
  }
}

function notWritable(error: unknown, folder: string): unknown {
  const code = (error as NodeJS.ErrnoException).code;
  if (code === undefined) return error;
  return new InputError("output", `cannot be written (${code})`, "name another place", {
    file: folder,
  });
}
