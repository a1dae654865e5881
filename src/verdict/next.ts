import type { QualityCheck, Reason } from "../result.js";
import { PAGES } from "./pages.js";

/**
 * What to try next, one line each without repeats, cheapest first: the steps of every reason that is marginal or
 * loud, and of every check that failed or required reason that is unknown what lets the next log carry a verdict.
 */
export function nextSteps(reasons: readonly Reason[], quality: readonly QualityCheck[]): string[] {
  const troubled = [
    ...quality.filter((check) => check.level === "fail").map((check) => check.id),
    ...reasons.filter((reason) => reason.level === "marginal" || reason.level === "loud").map((r) => r.id),
    ...reasons
      .filter((reason) => reason.level === "unknown" && (reason.required || reason.value !== null))
      .map((r) => r.id),
  ];
  const unsettled = new Set(reasons.filter((r) => r.level === "unknown").map((r) => r.id));
  const steps = [...new Set(troubled)].flatMap((id) => {
    const page = PAGES[id];
    if (page === undefined) return [];
    return unsettled.has(id) && page.whenUnknown ? page.whenUnknown : page.next;
  });
  const sorted = [...steps].sort((a, b) => a.cost - b.cost);
  return [...new Set(sorted.map((step) => step.text))];
}
