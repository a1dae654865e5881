import type { Reason, ReasonLevel } from "../result.js";

const WEIGHT: Readonly<Record<ReasonLevel, number>> = { loud: 0, marginal: 2, unknown: 3, ok: 4 };

/** Reasons with the weightiest first: loud, required but unknown, marginal, unknown, ok. Order within stays. */
export function weightiestFirst(reasons: readonly Reason[]): Reason[] {
  const weight = (r: Reason): number => (r.level === "unknown" && r.required ? 1 : WEIGHT[r.level]);
  return reasons
    .map((reason, i) => ({ reason, i }))
    .sort((a, b) => weight(a.reason) - weight(b.reason) || a.i - b.i)
    .map(({ reason }) => reason);
}
