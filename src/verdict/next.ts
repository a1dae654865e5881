import type { QualityCheck, Reason } from "../result.js";
import { PAGES, type Step } from "./pages.js";

/**
 * What to try next, one line each without repeats, cheapest first: the steps of every reason that is marginal or
 * loud, and of every check that failed or required reason that is unknown what lets the next log carry a verdict. A
 * step that the log shows to be done already is left out.
 */
export function nextSteps(reasons: readonly Reason[], quality: readonly QualityCheck[]): string[] {
  const steps = [
    ...quality.filter((check) => check.level === "fail").flatMap((check) => PAGES[check.id]?.next ?? []),
    ...reasons.flatMap(stepsFor),
  ];
  const fine = new Set(quality.filter((check) => check.level === "ok").map((check) => check.id));
  const open = steps.filter(({ doneWhen }) => doneWhen === undefined || !fine.has(doneWhen));
  return [...new Set([...open].sort((a, b) => a.cost - b.cost).map((step) => step.text))];
}

function stepsFor({ id, level, required, value }: Reason): readonly Step[] {
  const page = PAGES[id];
  if (page === undefined || level === "ok") return [];
  if (level !== "unknown") return page.next;
  // A forecast that was worked out asks for ballast; what was merely not logged and is not needed asks for nothing.
  const matters = required || (id === "payload-forecast" && value !== null);
  return matters ? (page.whenUnknown ?? page.next) : [];
}
