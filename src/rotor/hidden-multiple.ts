import type { Timeline } from "../timeline/timeline.js";
import { orderBlocks, overAxes } from "./order-amplitudes.js";
import type { SpeedTrack } from "./rotor.js";

const MULTIPLES = [2, 3, 4, 5];
const MOST_PAIRS = 30;
const BLOCKS = 48;
/** The hidden line's power over the noise beside it, and how sure that is, in standard errors. */
const LEAST_RATIO = 1.35;
const LEAST_Z = 6;

/**
 * Whether a line taken for once per turn is a multiple of it. Once per turn of a well balanced rotor can be faint
 * beside its blade pass; demodulated against the reported speed it still stands out of the noise on either side.
 *
 * @param timeline flight
 * @param tracks the speeds as reported, Hz
 * @param divisor by which they must be divided to be the line taken for once per turn
 * @returns the largest whole number by which the speed must be divided once more; 1 when none
 */
export function hiddenMultiple(timeline: Timeline, tracks: readonly SpeedTrack[], divisor: number): number {
  const shown = MULTIPLES.filter(
    (k) => k * divisor <= MOST_PAIRS && shows(timeline, tracks, 1 / (k * divisor)),
  );
  return shown.at(-1) ?? 1;
}

function shows(timeline: Timeline, tracks: readonly SpeedTrack[], order: number): boolean {
  const blocks = orderBlocks(timeline, tracks, order, BLOCKS);
  if (blocks.length < 10) return false;
  const ratios = blocks.map((b) => {
    const line = b.power.reduce((sum, p, m) => sum + b.own[m]! * overAxes(p), 0);
    const noise = b.noise.reduce((sum, p, m) => sum + b.own[m]! * overAxes(p), 0);
    return Math.log(line / Math.max(noise, 1e-30));
  });
  const mean = ratios.reduce((a, b) => a + b, 0) / ratios.length;
  const variance = ratios.reduce((sum, r) => sum + (r - mean) ** 2, 0) / (ratios.length - 1);
  return mean > Math.log(LEAST_RATIO) && mean > LEAST_Z * Math.sqrt(variance / ratios.length);
}
