import type { Command } from "commander";
import type { Analysis } from "../analyse.js";
import type { FilterRefusal, FilterStudy } from "../filters/study.js";
import { EXIT, type ExitStatus } from "./exit-status.js";
import {
  addReadOptions,
  addTalkOptions,
  positiveOption,
  type ReadOptions,
  type TalkOptions,
} from "./options.js";
import { print } from "./output.js";

interface FiltersOptions extends ReadOptions, TalkOptions {
  readonly loopRate?: number;
  readonly crossover?: number;
  readonly json?: boolean;
}

/** `quietspar filters LOG`: what filtering costs, and the least delay this build can fly. */
export function addFilters(program: Command, finish: (status: ExitStatus) => void): void {
  const command = program
    .command("filters")
    .summary("what filtering costs, and the least delay this build can fly")
    .description(
      "Measures the delay of the flight's own filtering, predicts other filters from the raw gyro (open loop) and " +
        "finds those of least delay that keep the D-term within its limit. Writes nothing to any controller.",
    )
    .argument("<log>", "flight log as CSV (gzip and zstd too), or - for standard input")
    .option(
      "--loop-rate <hz>",
      "rate of the controller's filter loop (default: craft file, else assumed)",
      positiveOption,
    )
    .option(
      "--crossover <hz>",
      "crossover of the rate loop (default: craft file, else assumed)",
      positiveOption,
    )
    .option("--json", "print the section as JSON");
  addTalkOptions(addReadOptions(command))
    .addHelpText("after", FILTERS_HELP)
    .action(async (log: string, options: FiltersOptions) => finish(await filters(log, options)));
}

const FILTERS_HELP = `
Example:
  $ quietspar filters flight-07.csv --loop-rate 4000 --crossover 25
  prints delay against residual D-term for this flight's raw gyro

Exit status: 0 studied, 3 the log cannot tell (it says why), 2 wrong usage,
65 not a flight log, 66 no such file, 74 cannot write, 70 a defect.`;

async function filters(log: string, options: FiltersOptions): Promise<ExitStatus> {
  const { runAnalysis } = await import("./read-inputs.js");
  const analysis = await runAnalysis(log, options, {
    ...(options.loopRate !== undefined && { loopRateHz: options.loopRate }),
    ...(options.crossover !== undefined && { crossoverHz: options.crossover }),
  });
  const study = analysis.result.filters as FilterStudy | null;
  if (options.json === true) await print(sectionJson(analysis));
  else if (options.quiet !== true) await printText(analysis, study, options.verbose === true);
  return study === null ? EXIT.undetermined : EXIT.ok;
}

async function printText(
  { result, timeline }: Analysis,
  study: FilterStudy | null,
  verbose: boolean,
): Promise<void> {
  const { refusalText, studyText } = await import("../filters/study-text.js");
  const { file } = result.log;
  if (study === null) return print(refusalText(refusalOf(result), { file }));
  const craft = result.settings.craft as { readonly dtermFullScale?: number };
  const known = study.dtermUnit === "log's own units";
  return print(
    studyText(study, {
      file,
      fullScale: known ? (craft.dtermFullScale ?? timeline.motorRange) : null,
      verbose,
    }),
  );
}

function refusalOf({ missing }: Analysis["result"]): FilterRefusal {
  return missing.find((m) => m.what === "the cost of filtering") ?? { what: "", cost: "the log cannot tell" };
}

/** The section with what it belongs to; numbers to ten significant digits, so that platforms agree. */
function sectionJson({ result }: Analysis): string {
  const { schemaVersion, tool, log, missing, filters: section } = result;
  const value = {
    schemaVersion,
    tool,
    log: { file: log.file, sha256: log.sha256 },
    missing,
    filters: section,
  };
  const rounded = (key: string, v: unknown): unknown => {
    if (typeof v !== "number") return v;
    if (!Number.isFinite(v)) throw new RangeError(`${key} is ${v}: an unknown number must be null`);
    return Number(v.toPrecision(10));
  };
  return `${JSON.stringify(value, rounded, 2)}\n`;
}
