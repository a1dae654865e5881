import type { Result } from "../../result.js";
import { anything, section } from "./markup.js";

/** Sections of other parts of the program, shown as they are. */
export function otherSections(result: Result): string {
  const show = (id: string, title: string, value: unknown): string =>
    value === null || value === undefined ? "" : section(id, title, anything(value));
  return (
    show("footage", "What a camera would see", result.footage) +
    show("history", "Against earlier flights", result.history)
  );
}
