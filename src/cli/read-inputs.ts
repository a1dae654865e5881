import { basename } from "node:path";
import type { AnalyseOptions, Analysis } from "../analyse.js";
import { InputError } from "../errors.js";
import { readCraftFile } from "../io/craft-file.js";
import { readLog, sizeOfLog } from "../io/read-log.js";
import type { ReadOptions, TalkOptions } from "./options.js";
import { startProgress } from "./progress.js";

/** Command-line options to the library's. Reads the craft file and the column map. */
export async function analyseOptions(log: string, options: ReadOptions): Promise<AnalyseOptions> {
  const { from, to, flight, rate, maxExpanded } = options;
  const sizeBytes = sizeOfLog(log);
  if (from !== undefined && to !== undefined && from >= to) {
    throw new InputError(
      "usage",
      `--from ${from} is not before --to ${to}`,
      "give a range of seconds that is not empty",
    );
  }
  const craftFile = options.craft === undefined ? null : await readCraftFile(options.craft);
  if (craftFile !== null && craftFile.unknown.length > 0) {
    process.stderr.write(`quietspar: craft file: not known and not used: ${craftFile.unknown.join(", ")}\n`);
  }
  const columnMap = options.columns === undefined ? null : await readMap(options.columns);
  return {
    file: log === "-" ? "stdin" : basename(log),
    ...(sizeBytes !== undefined && { sizeBytes }),
    ...(craftFile !== null && { craft: craftFile.craft, craftUnknown: craftFile.unknown }),
    ...(columnMap !== null && { columnMap }),
    ...(from !== undefined && { fromS: from }),
    ...(to !== undefined && { toS: to }),
    ...(flight !== undefined && { flight }),
    ...(rate !== undefined && { rateHz: rate }),
    ...(maxExpanded !== undefined && { maxExpandedBytes: maxExpanded * 1e6 }),
  };
}

async function readMap(
  path: string,
): ReturnType<typeof import("../io/column-map-file.js").readColumnMapFile> {
  return (await import("../io/column-map-file.js")).readColumnMapFile(path);
}

/** Reads and analyses one log, with progress on a terminal; `more` goes over what the options of every command give. */
export async function runAnalysis(
  log: string,
  options: ReadOptions & TalkOptions,
  more: Partial<AnalyseOptions> = {},
): Promise<Analysis> {
  const given = { ...(await analyseOptions(log, options)), ...more };
  const progress = await startProgress(process.stderr.isTTY === true && options.quiet !== true);
  try {
    // Loaded only now: help and version stay quick.
    const { analyseLog } = await import("../analyse.js");
    return await analyseLog(readLog(log), { ...given, onStage: progress.stage, onProgress: progress.bytes });
  } finally {
    progress.stop();
  }
}
