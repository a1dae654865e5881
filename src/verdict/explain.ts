import { LIMITS, type LimitName } from "./limits.js";
import { LIMITS_OF } from "./limits-of.js";
import { PAGES } from "./pages.js";
import { bullet, paragraph } from "./wrap.js";

/**
 * The page for a reason of the verdict or a quality check: plain text of at most 80 columns.
 *
 * @param id as in `verdict.reasons[].id` or `quality[].id`
 * @returns null when nothing has that id
 */
export function explainReason(id: string): string | null {
  if (!Object.hasOwn(PAGES, id)) return null;
  const page = PAGES[id]!;
  const steps = [...page.next].sort((a, b) => a.cost - b.cost).map((step) => step.text);
  const unknown = (page.whenUnknown ?? []).map((step) => step.text);
  return [
    `${id}: ${page.title}`,
    "",
    paragraph(page.what),
    "",
    "Why it matters",
    paragraph(page.why),
    "",
    "What usually causes it",
    ...page.causes.map((cause) => bullet(cause)),
    "",
    "What to try next, one at a time, cheapest first",
    ...steps.map((step, i) => bullet(step, i + 1)),
    ...limitLines(id),
    ...(unknown.length > 0 ? ["", "When it could not be told", ...unknown.map((step) => bullet(step))] : []),
    "",
    "Mind",
    ...page.cautions.map((caution) => bullet(caution)),
    "",
  ].join("\n");
}

/** The limits that decide a reason or a check, with the number, its consequence and its source. */
function limitLines(id: string): string[] {
  const names = id === "limits" ? (Object.keys(LIMITS) as LimitName[]) : (LIMITS_OF[id] ?? []);
  if (names.length === 0) return [];
  const line = (name: LimitName): string => {
    const { value, unit, why, source } = LIMITS[name];
    const number = `${name}: ${value} ${unit}`;
    return bullet(id === "limits" ? number : `${number}. ${capital(why)}. [${source}]`);
  };
  return ["", "Its limits, each to be set by name under 'limits' in the craft file", ...names.map(line)];
}

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** Every id that `explainReason` has a page for. */
export function reasonIds(): readonly string[] {
  return Object.keys(PAGES);
}
