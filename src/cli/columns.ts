import type { Command } from "commander";
import type { ColumnRow } from "../decode/column-map.js";
import type { FlightLog } from "../decode/flight-log.js";
import { EXIT, type ExitStatus } from "./exit-status.js";
import { addReadOptions, type ReadOptions } from "./options.js";
import { print } from "./output.js";

interface ColumnsOptions extends ReadOptions {
  readonly write?: string;
  readonly json?: boolean;
}

/** `quietspar columns LOG`: what each column was taken for, and the flights in the file. */
export function addColumns(program: Command, finish: (status: ExitStatus) => void): void {
  const command = program
    .command("columns")
    .summary("what each column of a log was taken for, and why")
    .description(
      "Shows what each column of a log was taken for, with unit, scale and reason, and the flights in the file; writes a map to edit.",
    )
    .argument("<log>", "flight log as CSV (gzip and zstd too), or - for standard input")
    .option("--write <file>", "write the reading as a column map to edit and give back with --columns")
    .option("--json", "print the readings as JSON");
  addReadOptions(command)
    .addHelpText("after", "\nExample:\n  $ quietspar columns flight-07.csv --write map.json")
    .action(async (log: string, options: ColumnsOptions) => {
      await columns(log, options);
      finish(EXIT.ok);
    });
}

async function columns(path: string, options: ColumnsOptions): Promise<void> {
  const { columnMapFrom, describeColumns } = await import("../decode/column-map.js");
  const { decodeLog } = await import("../decode/decode.js");
  const { readLog } = await import("../io/read-log.js");
  const { analyseOptions } = await import("./read-inputs.js");
  const given = await analyseOptions(path, options);
  const read = decodeLog(readLog(path), { ...given, file: given.file ?? "log" });
  const log = await read.catch((error: unknown) => showCandidate(error, options.write));
  if (options.write !== undefined) await writeMap(options.write, columnMapFrom(log));
  const rows = describeColumns(log);
  if (options.json === true) {
    const { flights, notes, warnings } = log;
    await print(`${JSON.stringify({ columns: rows, flights, notes, warnings }, null, 2)}\n`);
  } else await print(`${columnText(rows)}\n${flightText(log)}${warningText(log)}`);
}

/** Where nothing decides what a column is: the map that would be read goes out to be edited, then the error stands. */
async function showCandidate(error: unknown, write: string | undefined): Promise<never> {
  const { UndecidedError } = await import("../decode/undecided.js");
  if (!(error instanceof UndecidedError) || error.candidate === null) throw error;
  if (write === undefined) await print(`${JSON.stringify(error.candidate, null, 2)}\n`);
  else await writeMap(write, error.candidate);
  const where = write === undefined ? "the map above" : "the map written";
  throw new UndecidedError(
    error.message,
    `complete ${where} and give it back with --columns FILE`,
    error.place,
    error.candidate,
  );
}

async function writeMap(path: string, map: object): Promise<void> {
  const { basename, dirname } = await import("node:path");
  const { writeFiles } = await import("../io/report-folder.js");
  writeFiles(dirname(path), [{ name: basename(path), content: `${JSON.stringify(map, null, 2)}\n` }]);
}

/** One block per column: a line of facts, a line with the reason. */
function columnText(rows: readonly ColumnRow[]): string {
  return rows
    .map(({ column, header, takenFor, unit, scale, how, why }) => {
      const facts = unit === "" ? takenFor : `${takenFor}, ${unit}, scale ${scale}, by ${how}`;
      return `${String(column).padStart(3)}  ${header === "" ? "(no name)" : header}\n     ${facts}\n     because: ${why}`;
    })
    .join("\n");
}

function flightText({ flights, rows, timeUnit, timeHow, timeWhy }: FlightLog): string {
  const lines = flights.map(({ flight, fromS, toS, airborneS }) => {
    const range = `${fromS.toFixed(2)} s to ${toS.toFixed(2)} s`;
    return `  flight ${flight}: ${range}, ${airborneS.toFixed(1)} s in the air`;
  });
  return `\n${rows} rows; time in ${timeUnit}, by ${timeHow} (${timeWhy})\n${lines.join("\n")}\n`;
}

function warningText({ warnings }: FlightLog): string {
  if (warnings.length === 0) return "";
  const lines = warnings.map(
    ({ message, count, row }) => `  ${count} × ${message}${row === null ? "" : `; first in row ${row}`}`,
  );
  return `\nOdd:\n${lines.join("\n")}\n`;
}
