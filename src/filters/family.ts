import type { Hertz } from "../units.js";
import { type FilterStep, sectionsOf } from "./chain.js";
import type { Section } from "./section.js";

/** What a path may be made of. */
export type Part = "low-pass 1" | "low-pass 2" | "notch";
export type Family = readonly Part[];

/** Where one part stands: corner or centre, and the notch's quality, which a low-pass does not use. */
export interface Place {
  readonly hz: Hertz;
  readonly q: number;
}

/** The filters of a family at some places. */
export function stepsOf(family: Family, places: readonly Place[]): FilterStep[] {
  return family.map((part, i): FilterStep => {
    const { hz, q } = places[i]!;
    if (part === "notch") return { kind: "notch", centreHz: hz, q };
    if (part === "low-pass 2") return { kind: "low-pass", order: 2, corner: hz };
    return { kind: "low-pass", order: 1, form: "recursion", corner: hz };
  });
}

/** Filters that follow nothing, at the loop's rate. */
export function sectionsAt(steps: readonly FilterStep[], loopRate: Hertz): Section[] {
  return sectionsOf(steps, { throttle: null, rotorHz: [] }, loopRate);
}
