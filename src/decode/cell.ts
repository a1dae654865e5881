/** Words that exporters write where there is no value. */
const NO_VALUE = new Set([
  "",
  "-",
  "--",
  "nan",
  "null",
  "none",
  "na",
  "n/a",
  "nil",
  "inf",
  "+inf",
  "-inf",
  "infinity",
  "-infinity",
  "+infinity",
  "-nan",
  "#n/a",
]);

const DECIMAL = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/;

/** What a cell of text is worth: a number, nothing ("empty", NaN), or text that is no number. */
export type CellKind = "number" | "empty" | "text";

/** Says which of the three a cell is. */
export function cellKind(text: string, decimalComma = false): CellKind {
  const trimmed = text.trim();
  if (NO_VALUE.has(trimmed.toLowerCase())) return "empty";
  return DECIMAL.test(decimalComma ? trimmed.replace(",", ".") : trimmed) ? "number" : "text";
}

/**
 * The number in a cell: the same IEEE double as `Number(text)` for decimal numbers, NaN for anything else.
 * Hexadecimal, "1_000" and thousands separators are not numbers here.
 *
 * @param text one cell, blanks around it allowed
 * @param decimalComma true: "1,5" is one and a half, and a point is no decimal mark
 * @example cellNumber(" +1.5e3 ") // 1500
 */
export function cellNumber(text: string, decimalComma = false): number {
  const trimmed = text.trim();
  if (!decimalComma) return DECIMAL.test(trimmed) ? Number(trimmed) : Number.NaN;
  if (trimmed.includes(".")) return Number.NaN;
  const point = trimmed.replace(",", ".");
  return DECIMAL.test(point) ? Number(point) : Number.NaN;
}
