import { cleanText } from "./clean-text.js";

const ENTITIES: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
  "`": "&#96;",
};

/**
 * Escapes text for HTML and XML, in element content and in quoted attributes alike.
 *
 * @example escapeMarkup("<b>") // "&lt;b&gt;"
 */
export function escapeMarkup(text: string): string {
  return text.replace(/[&<>"'`]/g, (c) => ENTITIES[c]!);
}

/**
 * Any text on its way into markup: made harmless, shortened, escaped.
 *
 * @param limit longest text shown, in characters
 */
export function shown(text: string, limit = 400): string {
  return escapeMarkup(cleanText(text, limit));
}

/**
 * JSON for a `<script type="application/json">` block: no `<` or line separator can end or break the block.
 */
export function jsonForMarkup(value: unknown): string {
  return JSON.stringify(value).replace(/[<>&\u00ad\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff]/g, (c) => {
    return "\\u" + c.charCodeAt(0).toString(16).padStart(4, "0");
  });
}

/**
 * One cell of a CSV file (RFC 4180 quoting). Text that a spreadsheet would take for a formula is led by an
 * apostrophe, as OWASP's note on CSV injection advises; numbers keep their sign.
 *
 * @example csvCell("=1+1") // "'=1+1"
 */
export function csvCell(value: string | number): string {
  if (typeof value === "number") return Number.isFinite(value) ? String(value) : "";
  const clean = cleanText(value, 200);
  const safe = /^[=+\-@|%\t\r]/.test(clean) ? "'" + clean : clean;
  return /[",;\n\r']/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

const PLAIN: Readonly<Record<string, string>> = {
  "²": "^2",
  "³": "^3",
  "°": " deg",
  "·": ".",
  "×": "x",
  "±": "+/-",
  "–": "-",
  "—": "-",
  "−": "-",
  "…": "~",
  "≤": "<=",
  "≥": ">=",
  "≈": "~",
  "’": "'",
  "“": '"',
  "”": '"',
  ζ: "zeta",
  µ: "u",
  "→": "->",
};

/** Text for a terminal that has only ASCII: known signs are spelled out, every other one becomes "?". */
export function toAscii(text: string): string {
  return text.replace(/[^\x20-\x7e\n]/gu, (c) => PLAIN[c] ?? "?");
}
