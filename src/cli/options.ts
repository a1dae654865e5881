import { type Command, InvalidArgumentError, Option } from "commander";

/** A number from the command line; anything else is wrong usage. */
export function numberOption(text: string): number {
  const value = Number(text);
  if (text.trim() === "" || !Number.isFinite(value)) throw new InvalidArgumentError("Expected a number.");
  return value;
}

/** A number above zero. */
export function positiveOption(text: string): number {
  const value = numberOption(text);
  if (value <= 0) throw new InvalidArgumentError("Expected a number above zero.");
  return value;
}

/** A whole number from 1. */
export function countOption(text: string): number {
  const value = numberOption(text);
  if (!Number.isInteger(value) || value < 1)
    throw new InvalidArgumentError("Expected a whole number from 1.");
  return value;
}

/** Options of every command that reads a log. */
export interface ReadOptions {
  readonly craft?: string;
  readonly columns?: string;
  readonly from?: number;
  readonly to?: number;
  readonly flight?: number;
  readonly rate?: number;
  readonly maxExpanded?: number;
}

/** Adds the options of every command that reads a log. */
export function addReadOptions(command: Command): Command {
  return command
    .option("--craft <file>", "file that describes the craft (JSON); every entry optional")
    .option("--columns <file>", "column map, when headers cannot be read (see: columns)")
    .option("--from <s>", "analyse from this second of the log's clock", numberOption)
    .option("--to <s>", "analyse up to this second of the log's clock", numberOption)
    .option("--flight <n>", "which flight of the file (default: longest airborne)", countOption)
    .option("--rate <hz>", "rows per second, when time is a sample counter", positiveOption)
    .addOption(
      new Option("--max-expanded <mb>", "largest size of an expanded archive, MB").argParser(positiveOption),
    );
}

/** How much is said. */
export interface TalkOptions {
  readonly quiet?: boolean;
  readonly verbose?: boolean;
}

export function addTalkOptions(command: Command): Command {
  return command
    .option("--quiet", "say nothing on a result; only files and the exit status")
    .addOption(new Option("--verbose", "say more; show where a defect lies").conflicts("quiet"));
}
