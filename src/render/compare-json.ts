import type { Comparison } from "../compare/comparison.js";

/** Significant digits kept, as in the result. */
const DIGITS = 10;

/**
 * The comparison as JSON text (schema/comparison.schema.json), two blanks of indent, ending in a line feed; numbers
 * to 10 significant digits, so that platforms agree.
 *
 * @throws {RangeError} when a number is not finite: an unknown number is null, anything else is a defect
 */
export function renderCompareJson(comparison: Comparison): string {
  const plain = (key: string, value: unknown): unknown => {
    if (typeof value !== "number") return value;
    if (!Number.isFinite(value)) throw new RangeError(`${key} is ${value}: an unknown number must be null`);
    return Number(value.toPrecision(DIGITS));
  };
  return `${JSON.stringify(comparison, plain, 2)}\n`;
}
