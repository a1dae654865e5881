import type { FrameGrid } from "../spectra/spectrum.js";
import type { Axis } from "../units.js";

/** Powers of one axis on the time-frequency plane: frames × bins, row-major, unit²/Hz. */
export interface AxisPower {
  readonly axis: Axis;
  readonly power: Float32Array;
}

/** The time-frequency plane of all axes, with the cells that a turning or tonal line touches. */
export interface Plane {
  readonly grid: FrameGrid;
  readonly axes: readonly AxisPower[];
  /** frames × bins, 1 = touched: not to be used. */
  readonly mask: Uint8Array;
}

/** Bin spacing, Hz. */
export function binSpacing(grid: FrameGrid): number {
  return grid.sampleRate / grid.segmentLength;
}

/** Free frames of every bin. */
export function freeFrames(plane: Plane): Float64Array {
  const { bins, starts } = plane.grid;
  const free = new Float64Array(bins);
  for (let k = 0, cell = 0; k < starts.length; k++) {
    for (let b = 0; b < bins; b++, cell++) free[b]! += 1 - plane.mask[cell]!;
  }
  return free;
}
