import type { Reason, ReasonLevel } from "../result.js";
import type { Interval } from "../units.js";

/** Everything the verdict can give a reason for. */
export const REASON_IDS = [
  "quiet-band",
  "standing-mode",
  "mode-separation",
  "balance",
  "dterm-vibration",
  "loop-oscillation",
  "loop-phase",
  "payload-sway",
  "tones",
  "footage",
  "payload-forecast",
] as const;
export type ReasonId = (typeof REASON_IDS)[number];

/** A level with the worse side of its interval taken. */
export interface Graded {
  readonly level: Exclude<ReasonLevel, "unknown">;
  /** The limit that the level is told from. */
  readonly limit: number;
  /** The interval reaches over a limit that the value itself is under. */
  readonly straddles: boolean;
}

/** Limits of a figure that is better when smaller; no `loud` when it alone never makes a craft loud. */
export interface Steps {
  readonly marginal: number;
  readonly loud?: number;
}

/**
 * Grades a figure that is better when smaller, by the worse (upper) end of its interval.
 *
 * @example grade(0.9, [0.8, 1.1], { marginal: 1, loud: 3 }) // { level: "marginal", limit: 1, straddles: true }
 */
export function grade(value: number, ci95: Interval, steps: Steps): Graded {
  const byValue = levelAt(value, steps);
  const level = levelAt(Math.max(value, ci95[1]), steps);
  return {
    level,
    limit: level === "loud" ? steps.loud! : steps.marginal,
    straddles: level !== byValue,
  };
}

function levelAt(value: number, { marginal, loud = Infinity }: Steps): Graded["level"] {
  if (value > loud) return "loud";
  return value > marginal ? "marginal" : "ok";
}

/** How a figure stands to its limit, in words that end before the limit. */
export function against(graded: Graded): string {
  if (graded.level === "ok") return "within the limit of";
  return graded.straddles ? "not safely within the limit of" : "over the limit of";
}

/** What is said when the worse side decides. */
export function straddleNote(graded: Graded): string {
  return graded.straddles ? " The interval reaches over the limit, so the worse side counts." : "";
}

/** A reason that cannot be evaluated. */
export function unknown(
  id: ReasonId,
  message: string,
  more: { readonly axis?: Reason["axis"]; readonly required?: boolean; readonly unit?: string } = {},
): Reason {
  const { axis = null, required = true, unit = "" } = more;
  return { id, level: "unknown", value: null, ci95: null, limit: null, unit, axis, message, required };
}

/** A number for a sentence: three significant digits, no exponent, no zeros that say nothing. */
export function say(value: number): string {
  if (!Number.isFinite(value)) return "unknown";
  const size = Math.abs(value);
  const digits = size >= 100 || size === 0 ? 0 : Math.max(0, 2 - Math.floor(Math.log10(size)));
  const text = value.toFixed(Math.min(digits, 5));
  return text.includes(".") ? text.replace(/\.?0+$/, "") : text;
}

/** "12.3 to 45.6" */
export function sayRange([low, high]: Interval): string {
  return `${say(low)} to ${say(high)}`;
}
