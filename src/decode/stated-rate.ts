import type { How, Note } from "./flight-log.js";
import { wordsOf } from "./units-of-the-trade.js";

const RATE_WORDS = new Set(["rate", "freq", "frequency", "fs"]);
/** Words that make it the rate of the rows; the rate of a control loop is another matter. */
const ROW_WORDS = new Set([
  "sample",
  "samples",
  "sampling",
  "log",
  "logging",
  "logger",
  "record",
  "recording",
  "row",
  "rows",
  "data",
  "fs",
]);
const UNIT_WORDS = new Set(["hz", "khz", "per", "second", "s", "the", "of"]);

/**
 * Rows per second as a line before the header states them: "sample rate: 1000 Hz", "log_rate_khz = 2", "rate;500".
 *
 * @example statedRate([{ key: "Sample rate", value: "1 kHz" }]) // hz 1000
 */
export function statedRate(notes: readonly Note[]): { hz: number; how: How; why: string } | null {
  for (const { key, value } of notes) {
    const words = wordsOf(key);
    const bare = words.filter((word) => !UNIT_WORDS.has(word));
    const isRate = bare.some((word) => RATE_WORDS.has(word));
    if (!isRate || !bare.every((word) => RATE_WORDS.has(word) || ROW_WORDS.has(word))) continue;
    const number = /^([0-9]+(?:[.,][0-9]+)?)\s*(k?hz)?$/i.exec(value.trim());
    if (number === null) continue;
    const kilo = /^k/i.test(number[2] ?? "") || words.includes("khz");
    const hz = Number(number[1]!.replace(",", ".")) * (kilo ? 1000 : 1);
    if (hz > 0) return { hz, how: "header", why: `stated by the line "${key}: ${value}"` };
  }
  return null;
}
