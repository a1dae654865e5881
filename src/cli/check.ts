import type { Command } from "commander";
import { Option } from "commander";
import type { Analysis } from "../analyse.js";
import { InputError } from "../errors.js";
import type { FolderChoice } from "../io/report-folder.js";
import type { Format } from "../render/report-files.js";
import { EXIT, type ExitStatus, statusOfCall } from "./exit-status.js";
import { addReadOptions, addTalkOptions, type ReadOptions, type TalkOptions } from "./options.js";
import { print, useColour } from "./output.js";

interface CheckOptions extends ReadOptions, TalkOptions {
  readonly out?: string;
  readonly json?: boolean;
  readonly strict?: boolean;
  readonly format: readonly Format[];
}

const FORMATS: readonly Format[] = ["html", "json", "svg", "png", "csv"];

function formatOption(text: string): Format[] {
  const asked = text.split(",").map((part) => part.trim().toLowerCase());
  const wrong = asked.find((name) => !(FORMATS as readonly string[]).includes(name));
  if (wrong !== undefined) {
    throw new InputError("usage", `--format does not know "${wrong}"`, `choose from ${FORMATS.join(", ")}`);
  }
  return asked as Format[];
}

/** `quietspar check LOG`: the main job. */
export function addCheck(program: Command, finish: (status: ExitStatus) => void): void {
  const command = program
    .command("check")
    .summary("is this build quiet? verdict, page and numbers for one log")
    .description(
      "Reads one flight log and says whether the build is quiet, how that is known, and what to try next.",
    )
    .argument("<log>", "flight log as CSV (gzip and zstd too), or - for standard input")
    .option("--out <dir>", "folder for the report (default: named after the log, beside it)")
    .option("--json", "print the result as JSON; files only with --out")
    .option("--strict", "exit status 1 for marginal too")
    .addOption(
      new Option("--format <list>", "what to write: html,json,svg,png,csv")
        .default(["html", "json", "svg"], "html,json,svg")
        .argParser(formatOption),
    );
  addTalkOptions(addReadOptions(command))
    .addHelpText("after", CHECK_HELP)
    .action(async (log: string, options: CheckOptions) => finish(await check(log, options)));
}

const CHECK_HELP = `
Example:
  $ quietspar check flight-07.csv --craft lifter.json
  writes flight-07/report.html and flight-07/result.json and prints the verdict

Exit status: 0 quiet or marginal, 1 loud, 3 undetermined, 2 wrong usage,
65 not a flight log, 66 no such file, 74 cannot write, 70 a defect.`;

async function check(log: string, options: CheckOptions): Promise<ExitStatus> {
  const { runAnalysis } = await import("./read-inputs.js");
  const { chooseFolder } = await import("../io/report-folder.js");
  const analysis = await runAnalysis(log, options);
  const writes = options.json !== true || options.out !== undefined;
  const choice = writes ? chooseFolder(log, options.out) : null;
  if (choice !== null) await writeReport(choice, analysis, options.format);
  if (options.json === true) await printJson(analysis);
  else if (options.quiet !== true) await printText(analysis, choice, options);
  if (choice?.fallback === true && options.quiet !== true) {
    process.stderr.write(
      `quietspar: the folder of the log cannot be written; the report is in ./${choice.folder}\n`,
    );
  }
  return statusOfCall(analysis.result.verdict.call, options.strict === true) ?? EXIT.ok;
}

async function writeReport(
  choice: FolderChoice,
  { result, evidence }: Analysis,
  formats: readonly Format[],
): Promise<void> {
  const { writeFiles } = await import("../io/report-folder.js");
  const { reportFiles } = await import("../render/report-files.js");
  writeFiles(choice.folder, await reportFiles(result, evidence, formats));
}

async function printJson({ result }: Analysis): Promise<void> {
  const { renderJson } = await import("../render/json.js");
  await print(renderJson(result));
}

async function printText(
  { result, evidence }: Analysis,
  choice: FolderChoice | null,
  options: CheckOptions,
): Promise<void> {
  const { renderText } = await import("../render/text.js");
  const reportPath =
    choice !== null && options.format.includes("html") ? `${choice.folder}/report.html` : null;
  const verbose = options.verbose === true;
  await print(
    renderText(result, {
      width: 80,
      colour: await useColour(),
      unicode: true,
      reportPath,
      verbose,
      evidence,
    }),
  );
}
