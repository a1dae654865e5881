import type { Result } from "../result.js";

/** Significant digits kept: more than any measurement here has, fewer than rounding of the platform shows. */
const DIGITS = 10;

/** The contract's fields in reading order; fields unknown to this list follow in the order they were made. */
const ORDER: readonly (keyof Result)[] = [
  "schemaVersion",
  "tool",
  "verdict",
  "firstMode",
  "log",
  "analysed",
  "missing",
  "quality",
  "rotor",
  "modes",
  "tones",
  "modesUnobservable",
  "axes",
  "filters",
  "footage",
  "history",
  "settings",
];

/**
 * The result as JSON text, two blanks of indent, ending in a line feed. The same result gives the same bytes:
 * fields in a fixed order, maps by key, numbers to 10 significant digits.
 *
 * @throws {RangeError} when a number is not finite: an unknown number is null, anything else is a defect
 */
export function renderJson(result: Result): string {
  const ordered: Record<string, unknown> = {};
  for (const key of ORDER) ordered[key] = result[key];
  for (const [key, value] of Object.entries(result)) ordered[key] ??= value;
  ordered["log"] = { ...result.log, columns: byKey(result.log.columns) };
  const { options, limits, ...rest } = result.settings;
  ordered["settings"] = { options: byKey(options), limits: byKey(limits), ...rest };
  return onOneLine(JSON.stringify(plain(ordered, "result"), null, 2)) + "\n";
}

function byKey<T>(map: Readonly<Record<string, T>>): Record<string, T> {
  return Object.fromEntries(Object.entries(map).sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0)));
}

/** A copy with rounded numbers; the path tells where a number is not one. */
function plain(value: unknown, path: string): unknown {
  if (typeof value === "number") {
    if (!Number.isFinite(value)) throw new RangeError(`${path} is ${value}: an unknown number must be null`);
    return Number(value.toPrecision(DIGITS));
  }
  if (ArrayBuffer.isView(value)) return plain(Array.from(value as Float64Array), path);
  if (Array.isArray(value)) return value.map((item, i) => plain(item, `${path}[${i}]`));
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([key, item]) => [key, plain(item, `${path}.${key}`)]));
}

/** Intervals and lists of numbers read better on one line. No text can match: JSON escapes line feeds. */
function onOneLine(json: string): string {
  return json.replace(
    /\[\n\s+((?:-?\d[\d.e+-]*|null)(?:,\n\s+(?:-?\d[\d.e+-]*|null))*)\n\s+\]/g,
    (_, list) => {
      return `[${String(list).replace(/\n\s+/g, " ")}]`;
    },
  );
}
