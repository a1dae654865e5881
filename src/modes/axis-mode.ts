import type { Fit, FittedMode } from "./fit-modes.js";
import type { FixedAverage } from "./masked-average.js";
import type { Persistence } from "./persistence.js";

/** A mode accepted on one axis, with the evidence for it. */
export interface AxisMode extends FittedMode {
  /** Index of the axis in the bank. */
  readonly axis: number;
  readonly prominenceDb: number;
  /** Fall of the clipped squares when the mode joins the window's model. */
  readonly drop: number;
  /** Chance that noise anywhere on the axis stands out as much. */
  readonly searchP: number;
  readonly persistence: Persistence;
  readonly misfit: number;
  /** Typical free frames in the window. */
  readonly frames: number;
  /** The fit it comes from, and on what. */
  readonly fit: Fit;
  readonly average: FixedAverage;
}

/** Peak of a mode over its floor, dB. */
export function prominenceDb(gain: number): number {
  return 10 * Math.log10(1 + gain);
}
