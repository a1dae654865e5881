/** How the table is written. `delimiter` " " stands for runs of blanks and tabs. */
export interface Dialect {
  readonly delimiter: "," | ";" | "\t" | "|" | " ";
  /** "1,5" is one and a half. */
  readonly decimalComma: boolean;
  /** Byte that ends a line: LF (CRLF too), or a lone CR. */
  readonly newline: 10 | 13;
}

export const DELIMITERS = [",", ";", "\t", "|", " "] as const;

/**
 * Splits one line into cells the plain way: double quotes around a cell are taken off, doubled quotes inside
 * are one. For lines that csv-parse has seen already or need not see.
 */
export function splitLine(line: string, delimiter: Dialect["delimiter"]): string[] {
  if (delimiter === " ") {
    const trimmed = line.trim();
    if (!trimmed.includes('"')) return trimmed === "" ? [] : trimmed.split(/[ \t]+/);
    return quotedCells(trimmed.replace(/[ \t]+(?=(?:[^"]*"[^"]*")*[^"]*$)/g, " "), " ");
  }
  if (!line.includes('"')) return line.split(delimiter).map((cell) => cell.trim());
  return quotedCells(line, delimiter);
}

function quotedCells(line: string, delimiter: string): string[] {
  const cells: string[] = [];
  let cell = "";
  let quoted = false;
  for (let i = 0; i < line.length; i++) {
    const c = line[i]!;
    if (quoted) {
      if (c !== '"') cell += c;
      else if (line[i + 1] === '"') {
        cell += '"';
        i++;
      } else quoted = false;
    } else if (c === '"' && cell.trim() === "") {
      quoted = true;
      cell = "";
    } else if (c === delimiter) {
      cells.push(cell.trim());
      cell = "";
    } else cell += c;
  }
  cells.push(cell.trim());
  return cells;
}
