import { InputError } from "../errors.js";
import type { DecodeWarning } from "./flight-log.js";
import type { Head } from "./head.js";

/** Names laid over cells. */
export interface MatchedNames {
  /** One per cell; null without a header. */
  readonly names: readonly string[] | null;
  readonly warnings: readonly DecodeWarning[];
}

/**
 * Lays the header's names over a row's cells where their numbers differ, and never shifts them silently:
 * an unnamed first column of row numbers is seen by its counting, unnamed empty cells at the end are passed over.
 *
 * @throws {InputError} "content" when names and cells do not fit and no map says which is which
 */
export function matchNames(
  { headers, width, sample, dataLine }: Head,
  mapped: boolean,
  file: string,
): MatchedNames {
  if (headers === null) return { names: null, warnings: [] };
  const over = Array.from({ length: width }, (_, i) => headers[i] ?? "");
  if (headers.length === width) return { names: headers, warnings: [] };
  if (headers.length > width) {
    const bare = headers.slice(width).filter((name) => name !== "");
    if (bare.length === 0) return { names: over, warnings: [] };
    const message = `the rows hold no cell for the last name "${bare.at(-1)}": names were laid over cells from the left`;
    return { names: over, warnings: [{ id: "names-without-cells", message, count: bare.length, row: null }] };
  }
  if (sample.every((row) => (row[width - 1] ?? "") === "")) return { names: over, warnings: [] };
  if (isCounting(sample)) {
    const message = "the first cell of each row counts the rows and has no name: names begin at the second";
    return { names: ["", ...headers], warnings: [{ id: "row-numbers", message, count: 1, row: dataLine }] };
  }
  if (mapped) return { names: over, warnings: [] };
  throw new InputError(
    "content",
    `the header names ${headers.length} columns, the rows hold ${width} cells`,
    "mend the header, or name the columns by position with --columns FILE",
    { file, row: dataLine },
  );
}

/** Whole numbers that go up by one from row to row. */
function isCounting(sample: Head["sample"]): boolean {
  const first = sample.map((row) => row[0] ?? "");
  return (
    first.length > 2 && first.every((cell, i) => /^\d+$/.test(cell) && Number(cell) === Number(first[0]) + i)
  );
}
