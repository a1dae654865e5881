import type { FixedAverage } from "./masked-average.js";
import type { UnobservableBand } from "./mode.js";

/** Fewer free frames than this over more than `LEAST_HZ` hide a mode. */
const LEAST_FRAMES = 8;
const LEAST_HZ = 3;
const FROM_HZ = 7;

/**
 * Bands in which this log could not have shown a mode: an order line lies there in (almost) every frame.
 *
 * @param average of any axis: the mask is the same for all
 */
export function unobservableBands(average: FixedAverage): UnobservableBand[] {
  const bands: UnobservableBand[] = [];
  const { df, frames } = average;
  const first = Math.ceil(FROM_HZ / df);
  let from = -1;
  for (let b = first; b <= frames.length; b++) {
    const hidden = b < frames.length && frames[b]! < LEAST_FRAMES;
    if (hidden && from < 0) from = b;
    if (hidden || from < 0) continue;
    const fromHz = (from - 0.5) * df;
    const toHz = (b - 0.5) * df;
    if (toHz - fromHz > LEAST_HZ) {
      bands.push({ fromHz, toHz, why: "a line of what turns lies here in every frame" });
    }
    from = -1;
  }
  return bands;
}
