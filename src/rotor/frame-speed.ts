import type { FrameGrid } from "../spectra/spectrum.js";
import { hann } from "../spectra/window.js";
import type { Seconds } from "../units.js";

/**
 * Hann-weighted mean speed in every frame of a grid.
 *
 * @param hz speed per sample, Hz, NaN where unknown
 * @param grid frames
 * @param shiftS read the speed this much later than the frame (a report that is late by that), s
 * @returns Hz per frame, NaN where less than half of the frame's weight is known
 */
export function frameSpeed(hz: Float32Array, grid: FrameGrid, shiftS: Seconds = 0): Float64Array {
  const { segmentLength, sampleRate } = grid;
  const stride = Math.max(1, segmentLength >> 6);
  const window = hann(segmentLength);
  const shift = Math.round(shiftS * sampleRate);
  return Float64Array.from(grid.starts, (start) => {
    let sum = 0;
    let known = 0;
    let all = 0;
    for (let n = stride >> 1; n < segmentLength; n += stride) {
      const w = window[n]!;
      all += w;
      const v = hz[Math.min(hz.length - 1, Math.max(0, start + n + shift))]!;
      if (Number.isNaN(v)) continue;
      sum += w * v;
      known += w;
    }
    return known > 0.5 * all ? sum / known : Number.NaN;
  });
}
