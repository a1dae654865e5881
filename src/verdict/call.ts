import type { Call, QualityCheck, Reason } from "../result.js";
import { settle } from "./settle.js";

/**
 * The call, by precedence: any intact loud reason → loud; else any required reason that cannot be evaluated →
 * undetermined; else any marginal one → marginal; else quiet.
 *
 * Quality comes first: a failed check turns what rests on it into "unknown" (see `settle`), and while one stands the
 * call is never better than undetermined.
 *
 * @param reasons as measured or as settled
 * @param quality all checks
 * @example callFrom([{ …, level: "ok", required: true }], []) // "quiet"
 */
export function callFrom(reasons: readonly Reason[], quality: readonly QualityCheck[]): Call {
  const settled = settle(reasons, quality);
  if (settled.some((reason) => reason.level === "loud")) return "loud";
  if (settled.some((reason) => reason.required && reason.level === "unknown")) return "undetermined";
  if (!settled.some((reason) => reason.required)) return "undetermined";
  if (quality.some((check) => check.level === "fail")) return "undetermined";
  return settled.some((reason) => reason.level === "marginal") ? "marginal" : "quiet";
}
