import type { Result } from "../../result.js";
import { footageSection } from "./footage.js";
import { anything, section } from "./markup.js";

/** Sections of other parts of the program. */
export function otherSections(result: Result): string {
  const { history } = result;
  const earlier =
    history === null || history === undefined
      ? ""
      : section("history", "Against earlier flights", anything(history));
  return footageSection(result) + earlier;
}
