/** A small invented table that every fixture writes in its own way. */

/** Rows of the table: 80 at 1 kHz. */
export const ROWS = 80;
export const HEADER = [
  "time (s)",
  "gyro raw roll (deg/s)",
  "gyro raw pitch (deg/s)",
  "gyro raw yaw (deg/s)",
  "throttle (%)",
] as const;

/** Value of a column in a row, three decimals, so that text and number agree. */
export function value(column: number, row: number): number {
  if (column === 0) return Number((row * 0.001).toFixed(3));
  if (column === 4) return 40 + (row % 7);
  return Number((25 * Math.sin(row * (0.31 + 0.17 * column)) + column).toFixed(3));
}

export interface WriteStyle {
  readonly delimiter?: string;
  readonly newline?: string;
  readonly decimalComma?: boolean;
  readonly header?: readonly string[] | null;
  /** Text of one cell; default the number. */
  readonly cell?: (column: number, row: number, text: string) => string;
  readonly rows?: number;
  readonly lastNewline?: boolean;
}

/** The table as text. */
export function write(style: WriteStyle = {}): string {
  const {
    delimiter = ",",
    newline = "\n",
    decimalComma = false,
    header = HEADER,
    rows = ROWS,
    lastNewline = true,
  } = style;
  const cell = style.cell ?? ((_c, _r, text) => text);
  const lines = header === null ? [] : [header.join(delimiter)];
  for (let row = 0; row < rows; row++) {
    const cells = HEADER.map((_, column) => {
      const text = String(value(column, row));
      return cell(column, row, decimalComma ? text.replace(".", ",") : text);
    });
    lines.push(cells.join(delimiter));
  }
  return lines.join(newline) + (lastNewline ? newline : "");
}

/** The text with line `at` (from 0) replaced, or with lines put before it. */
export function edit(text: string, at: number, change: (line: string) => string | readonly string[]): string {
  const lines = text.split("\n");
  lines.splice(at, 1, ...[change(lines[at] ?? "")].flat());
  return lines.join("\n");
}
