import type { Result } from "../../result.js";
import type { PanelAxis } from "./chart.js";
import { frequencyDomain } from "./features.js";

/** The horizontal frequency axis that strip, spectra and throttle maps share. */
export function frequencyAxis(result: Result, width: number): PanelAxis {
  return {
    type: "log",
    domain: frequencyDomain(result),
    range: [0, width],
    title: "frequency",
    unit: "Hz",
    link: "frequency",
  };
}
