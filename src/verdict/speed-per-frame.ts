import type { RotorEstimate } from "../rotor/rotor.js";
import type { FrameGrid } from "../spectra/spectrum.js";

/** Rotor speed over one frame, all motors together, Hz; NaN where it is unknown. */
export interface FrameSpeed {
  readonly low: number;
  readonly mean: number;
  readonly high: number;
}

const SAMPLES_A_FRAME = 24;
const UNKNOWN: FrameSpeed = { low: Number.NaN, mean: Number.NaN, high: Number.NaN };

/**
 * Lowest, mean and highest once-per-turn frequency over each frame, looked at in 24 places.
 *
 * @param rotor estimate whose tracks lie on the grid's timeline
 * @returns one record a frame
 */
export function speedPerFrame(rotor: RotorEstimate, grid: FrameGrid): FrameSpeed[] {
  return Array.from(grid.starts, (start) => frameSpeed(rotor, start, grid.segmentLength));
}

function frameSpeed(rotor: RotorEstimate, start: number, length: number): FrameSpeed {
  let low = Infinity;
  let high = 0;
  let sum = 0;
  let count = 0;
  for (const { hz } of rotor.tracks) {
    for (let i = 0; i < SAMPLES_A_FRAME; i++) {
      const speed = hz[start + Math.floor((i * (length - 1)) / (SAMPLES_A_FRAME - 1))]!;
      if (!(speed > 0)) continue;
      low = Math.min(low, speed);
      high = Math.max(high, speed);
      sum += speed;
      count++;
    }
  }
  return count === 0 ? UNKNOWN : { low, mean: sum / count, high };
}
