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
    if (trimmed === "") return [];
    if (!trimmed.includes('"')) return trimmed.split(/[ \t]+/);
    // Cells in quotes whole, others up to the next blank.
    return (trimmed.match(/"(?:[^"]|"")*"(?=[ \t]|$)|[^ \t]+/g) ?? []).map(unquoted);
  }
  if (!line.includes('"')) return line.split(delimiter).map((cell) => cell.trim());
  return quotedCells(line, delimiter);
}

function unquoted(cell: string): string {
  const inside = cell.length > 1 && cell.startsWith('"') && cell.endsWith('"');
  return inside ? cell.slice(1, -1).replaceAll('""', '"').trim() : cell;
}

/**
 * True when a line ends inside quotes, so that its last cell goes on in the next line. Only a quote at the start
 * of a cell opens one: the inch mark in "10\"" is just a letter.
 *
 * @example endsInQuotes('1,"two') // true
 */
export function endsInQuotes(line: string): boolean {
  let open = false;
  for (let at = line.indexOf('"'); at >= 0; at = line.indexOf('"', at + 1)) {
    if (!open) open = startsCell(line, at);
    else if (line[at + 1] === '"') at++;
    else open = false;
  }
  return open;
}

/** True when nothing but blanks lies between a delimiter, or the start of the line, and this place. */
function startsCell(line: string, at: number): boolean {
  let before = at - 1;
  while (before >= 0 && line[before] === " ") before--;
  return before < 0 || ",;\t|".includes(line[before]!) || before < at - 1;
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
