import { Command, CommanderError } from "commander";
import { VERSION } from "../version.js";
import { addCheck } from "./check.js";
import { addColumns } from "./columns.js";
import { addCompare } from "./compare.js";
import { errorLine } from "./error-line.js";
import { EXIT, type ExitStatus, statusOfError } from "./exit-status.js";
import { addExplain } from "./explain.js";
import { addFilters } from "./filters.js";
import { addSortie } from "./sortie.js";

/** The whole program: one command line in, one exit status out. */
export async function main(argv: readonly string[]): Promise<void> {
  watchForTheEnd(argv.includes("--verbose"));
  try {
    await program().parseAsync([...argv]);
  } catch (error) {
    process.exitCode = report(error, argv.includes("--verbose"));
  }
}

function program(): Command {
  const finish = (status: ExitStatus): void => {
    process.exitCode = status;
  };
  const program = new Command("quietspar")
    .description("Is this multirotor build quiet? Reads a flight log and says so, with the evidence.")
    .version(VERSION, "-V, --version", "print the version")
    .helpOption("-h, --help", "show help")
    .exitOverride()
    .configureHelp({ helpWidth: 80, showGlobalOptions: false })
    .addHelpText("after", PROGRAM_HELP);
  for (const add of [addCheck, addColumns, addCompare, addExplain, addFilters, addSortie])
    add(program, finish);
  for (const command of program.commands) command.exitOverride().configureHelp({ helpWidth: 80 });
  return program;
}

const PROGRAM_HELP = `
Example:
  $ quietspar check flight-07.csv
  $ quietspar check --help

A verdict is about vibration in one log. It does not say that a craft is fit to
fly: local rules and licensed practice decide that.`;

/** Says what went wrong and gives the status for it. The option parser has already printed its own errors. */
function report(error: unknown, verbose: boolean): ExitStatus {
  if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.ok : EXIT.usage;
  process.stderr.write(`${errorLine(error)}\n`);
  const status = statusOfError(error);
  if (verbose && status === EXIT.internal && error instanceof Error) process.stderr.write(`${error.stack}\n`);
  return status;
}

/** Whatever ends the program early ends it with a status of the contract. */
function watchForTheEnd(verbose: boolean): void {
  const die = (error: unknown): never => process.exit(report(error, verbose));
  process.on("uncaughtException", die);
  process.on("unhandledRejection", die);
  process.on("SIGINT", () => process.exit(EXIT.interrupt));
  process.on("SIGTERM", () => process.exit(EXIT.termination));
}
