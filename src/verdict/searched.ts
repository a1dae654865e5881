import type { Mode, ModesEstimate } from "../modes/mode.js";
import type { Hertz } from "../units.js";
import { say } from "./reason.js";

/** Whether the log could be searched for modes at all: only then is "none found" an answer. */
export function wasSearched({ modes, fixed }: Pick<ModesEstimate, "modes" | "fixed">): boolean {
  return modes.length > 0 || Object.values(fixed).some((spectrum) => spectrum !== null);
}

/** Sway and control loops live below this (method note, measured on simulated flights). */
const LOW_HZ: Hertz = 40;

/** Low peaks of which it could not be told what they are: each may be a sway, a loop or a structure. */
export function unresolvedLow(modes: readonly Mode[]): Mode[] {
  return modes.filter((mode) => mode.kind === "unresolved" && mode.frequencyHz < LOW_HZ);
}

/** "the peak at 8.2 Hz", "the peaks at 8.2 and 12 Hz" */
export function peaksAt(modes: readonly Mode[]): string {
  return `the peak${modes.length > 1 ? "s" : ""} at ${modes.map((m) => say(m.frequencyHz)).join(" and ")} Hz`;
}
