import type { Reason } from "../result.js";

/** What carries the call stands before what only adds to it. */
function weight({ level, required }: Reason): number {
  if (level === "loud") return 0;
  if (level === "marginal") return 2;
  if (level === "unknown") return required ? 1 : 4;
  return required ? 3 : 5;
}

/**
 * Reasons with the weightiest first: loud, needed but unknown, marginal, needed and ok, then what the call does not
 * need. Order within stays.
 */
export function weightiestFirst(reasons: readonly Reason[]): Reason[] {
  return reasons
    .map((reason, i) => ({ reason, i }))
    .sort((a, b) => weight(a.reason) - weight(b.reason) || a.i - b.i)
    .map(({ reason }) => reason);
}

/** A reason's message, led by its axis where the message does not name it. */
export function reasonText({ axis, message }: Reason): string {
  return axis === null || message.toLowerCase().includes(axis) ? message : `${axis}: ${message}`;
}
