import { basename } from "node:path";
import { type AnalyseOptions, analyseLog, type LogSource } from "./analyse.js";
import { readLog, sizeOfLog } from "./io/read-log.js";
import type { Result } from "./result.js";

/**
 * Analyses one flight log; the same result object that `quietspar check --json` prints.
 *
 * @param input path of the log ("-" is standard input), or its bytes, whole or in chunks
 * @param options see AnalyseOptions; every entry optional
 * @throws {InputError} with `kind` "absent" (no such file), "content" (not a flight log) or "usage" (an option does not fit)
 * @example const { verdict, firstMode } = await analyse("flight.csv");
 */
export async function analyse(input: string | LogSource, options: AnalyseOptions = {}): Promise<Result> {
  if (typeof input !== "string") return (await analyseLog(input, options)).result;
  const file = options.file ?? (input === "-" ? "stdin" : basename(input));
  const sizeBytes = sizeOfLog(input);
  const known = sizeBytes === undefined ? {} : { sizeBytes };
  return (await analyseLog(readLog(input), { ...known, ...options, file })).result;
}
