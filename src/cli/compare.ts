import { readFileSync } from "node:fs";
import { basename } from "node:path";
import type { Command } from "commander";
import type { ComparedFlight } from "../compare/compared-flight.js";
import type { Comparison } from "../compare/comparison.js";
import { InputError } from "../errors.js";
import type { Result } from "../result.js";
import { EXIT, type ExitStatus } from "./exit-status.js";
import { addTalkOptions, countOption, type ReadOptions, type TalkOptions } from "./options.js";
import { print, useColour } from "./output.js";

interface CompareCommandOptions extends ReadOptions, TalkOptions {
  readonly out?: string;
  readonly json?: boolean;
  readonly otherPropeller?: boolean;
  readonly changeBefore?: number;
}

/** `quietspar compare BEFORE AFTER [MORE…]`: did it help, or was it the wind? */
export function addCompare(program: Command, finish: (status: ExitStatus) => void): void {
  const command = program
    .command("compare")
    .summary("before and after: did it help, or was it the wind?")
    .description(
      "Compares flights at equal rotor speed, in the order flown: levels, rotor lines, modes, filters, each with its " +
        "interval. The first is compared with the last; --change-before says where the change was made instead.",
    )
    .argument("<flights...>", "two or more logs (CSV, gzip, zstd) or saved result.json files")
    .option(
      "--change-before <n>",
      "flight n was the first after the change; repeats show scatter",
      countOption,
    )
    .option("--other-propeller", "compare although the propellers differ")
    .option("--out <dir>", "folder for comparison.html and comparison.json")
    .option("--json", "print the comparison as JSON; files only with --out")
    .option("--craft <file>", "file that describes the craft of the logs (JSON)")
    .option("--columns <file>", "column map for the logs, when headers cannot be read");
  addTalkOptions(command)
    .addHelpText("after", COMPARE_HELP)
    .action(async (flights: string[], options: CompareCommandOptions) =>
      finish(await compare(flights, options)),
    );
}

const COMPARE_HELP = `
Example:
  $ quietspar compare before.csv after.csv --out comparison
  $ quietspar compare a1.csv a2/result.json b1.csv b2.csv --change-before 3

Exit status: 0 compared, 3 not comparable (it says why), 2 wrong usage,
65 not a flight log, 66 no such file, 74 cannot write, 70 a defect.`;

async function compare(paths: readonly string[], options: CompareCommandOptions): Promise<ExitStatus> {
  checkUsage(paths, options);
  const flights: ComparedFlight[] = [];
  for (const path of paths) flights.push(await readFlight(path, options));
  const { changeBefore } = options;
  const { compareFlights } = await import("../compare/compare-flights.js");
  const comparison = compareFlights(flights, {
    otherPropeller: options.otherPropeller === true,
    ...(changeBefore !== undefined && { changeBefore }),
  });
  if (options.out !== undefined) await writeReport(options.out, comparison);
  if (options.json === true) await printJson(comparison);
  else if (options.quiet !== true) await printText(comparison, options);
  return comparison.comparable ? EXIT.ok : EXIT.undetermined;
}

function checkUsage(paths: readonly string[], { changeBefore }: CompareCommandOptions): void {
  if (paths.length < 2)
    throw new InputError("usage", "compare needs two flights", "name the one before and the one after");
  if (changeBefore !== undefined && (changeBefore < 2 || changeBefore > paths.length)) {
    throw new InputError(
      "usage",
      `--change-before ${changeBefore} leaves a side empty`,
      `give 2 to ${paths.length}`,
    );
  }
}

/** A saved result is told by its name's ending, everything else is a log. */
async function readFlight(path: string, options: CompareCommandOptions): Promise<ComparedFlight> {
  const { comparedFlight } = await import("../compare/compared-flight.js");
  if (/\.json$/i.test(path)) return comparedFlight(await readSavedResult(path), true);
  const { runAnalysis } = await import("./read-inputs.js");
  return comparedFlight((await runAnalysis(path, options)).result);
}

async function readSavedResult(path: string): Promise<Result> {
  const { parseJson } = await import("../io/craft-file.js");
  const { schemaErrors } = await import("../io/schema.js");
  const file = basename(path);
  const value = parseJson(readText(path, file), file);
  const errors = await schemaErrors("result", value);
  if (errors.length > 0) {
    throw new InputError(
      "content",
      `not a saved result: ${errors[0]}`,
      "give a result.json of this program",
      { file },
    );
  }
  return value as Result;
}

function readText(path: string, file: string): string {
  try {
    return readFileSync(path, "utf8");
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code ?? "unknown reason";
    throw new InputError("absent", `cannot be read (${code})`, "check the path", { file });
  }
}

async function writeReport(folder: string, comparison: Comparison): Promise<void> {
  const { compareFiles } = await import("../render/compare-files.js");
  const { writeFiles } = await import("../io/report-folder.js");
  writeFiles(folder, await compareFiles(comparison));
}

async function printJson(comparison: Comparison): Promise<void> {
  const { renderCompareJson } = await import("../render/compare-json.js");
  await print(renderCompareJson(comparison));
}

async function printText(comparison: Comparison, options: CompareCommandOptions): Promise<void> {
  const { renderCompareText } = await import("../render/compare-text.js");
  const pagePath = options.out === undefined ? null : `${options.out}/comparison.html`;
  await print(
    renderCompareText(comparison, {
      colour: await useColour(),
      unicode: true,
      pagePath,
      verbose: options.verbose === true,
    }),
  );
}
