import type { Mode } from "../modes/mode.js";
import type { Interval } from "../units.js";

/** What stands where a number is not known. */
export const UNKNOWN = "unknown";

/**
 * A number for reading, to `digits` significant digits, without an exponent from 0.0001 to 100 000.
 *
 * @example figure(0.012345) // "0.0123"
 */
export function figure(value: number | null, digits = 3): string {
  if (value === null || !Number.isFinite(value)) return UNKNOWN;
  if (value === 0) return "0";
  const size = Math.abs(value);
  if (size < 1e-4 || size >= 1e5) return value.toExponential(digits - 1);
  const decimals = Math.max(0, digits - 1 - Math.floor(Math.log10(size)));
  return value.toFixed(Math.min(decimals, 8));
}

/** `figure` with its unit; the unit is left out where the number is not known. */
export function quantity(value: number | null, unit: string, digits = 3): string {
  const text = figure(value, digits);
  return text === UNKNOWN || unit === "" ? text : `${text} ${unit}`;
}

/** "61.9 to 62.9 Hz"; an end that was set to a whole number, not measured, carries no zeros behind the point. */
export function range(interval: Interval | null, unit: string, digits = 3): string {
  if (interval === null) return UNKNOWN;
  const end = (v: number): string => (Number.isInteger(v) ? trimmed(v, digits) : figure(v, digits));
  return `${end(interval[0])} to ${end(interval[1])} ${unit}`.trim();
}

/** `figure` without idle zeros, for what was set or counted rather than measured: "20", "0.5". */
export function trimmed(value: number | null, digits = 3): string {
  const text = figure(value, digits);
  return text.includes("e") || !text.includes(".") ? text : text.replace(/\.?0+$/, "");
}

/** Decimals that an interval of this half-width deserves, 0 to 2. */
function decimalsFor(interval: Interval): number {
  const half = (interval[1] - interval[0]) / 2;
  if (!(half > 0)) return 1;
  return Math.min(2, Math.max(0, Math.ceil(-Math.log10(half))));
}

/** Frequency of a mode with the decimals that its interval deserves, "62.4 Hz". */
export function modeHz(mode: Mode): string {
  return `${mode.frequencyHz.toFixed(decimalsFor(mode.ci95Hz))} Hz`;
}

/** "62.4 Hz (61.9 to 62.9)" */
export function modeHzWithInterval(mode: Mode): string {
  const d = decimalsFor(mode.ci95Hz);
  return `${modeHz(mode)} (${mode.ci95Hz[0].toFixed(d)} to ${mode.ci95Hz[1].toFixed(d)})`;
}

/** A ratio as percent, "1.8 %". */
export function percent(ratio: number | null, digits = 2): string {
  return ratio === null || !Number.isFinite(ratio) ? UNKNOWN : `${figure(ratio * 100, digits)} %`;
}

/** A confidence for reading, "0.97"; no measurement is certain, so none reads as 1. */
export function certainty(confidence: number): string {
  return figure(Math.min(0.99, confidence), 2);
}

/** Seconds as "48 s" or "9 min 40 s". */
export function duration(seconds: number): string {
  if (!Number.isFinite(seconds)) return UNKNOWN;
  if (seconds < 120) return `${figure(seconds, seconds < 10 ? 2 : 3)} s`;
  const whole = Math.round(seconds);
  return `${Math.floor(whole / 60)} min ${whole % 60} s`;
}

/** "roll, pitch and yaw" */
export function listed(items: readonly string[]): string {
  if (items.length < 2) return items.join("");
  return `${items.slice(0, -1).join(", ")} and ${items.at(-1)}`;
}

/** What an order is called: "once per turn", "blade pass", "3 × turn". */
export function orderName(order: number, blades: number | null): string {
  if (order === 1) return "once per turn";
  if (blades !== null && order === blades) return "blade pass";
  if (blades !== null && order % blades === 0) return `${order / blades} × blade pass`;
  return `${Number(order.toPrecision(3))} × turn`;
}
