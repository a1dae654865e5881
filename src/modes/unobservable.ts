import type { FixedAverage } from "./masked-average.js";
import type { UnobservableBand } from "./mode.js";
import type { SteadyLine } from "./tones.js";

/** Fewer free frames than this over more than `LEAST_HZ` hide a mode. */
const LEAST_FREE = 8;
const LEAST_HZ = 3;
const FROM_HZ = 7;
/** A tone's mask is no wider than this. */
const TONE_BAND_BINS = 9;

/**
 * Bands in which this log could not have shown a mode: an order line lies there in (almost) every frame.
 *
 * @param average of any axis: the mask is the same for all
 * @param tones fixed tones, which are masked too
 */
export function unobservableBands(average: FixedAverage, tones: readonly SteadyLine[]): UnobservableBand[] {
  const bands: UnobservableBand[] = [];
  const { df, frames } = average;
  const first = Math.ceil(FROM_HZ / df);
  let from = -1;
  for (let b = first; b <= frames.length; b++) {
    const hidden = b < frames.length && frames[b]! < LEAST_FREE;
    if (hidden && from < 0) from = b;
    if (hidden || from < 0) continue;
    const fromHz = (from - 0.5) * df;
    const toHz = (b - 0.5) * df;
    if (toHz - fromHz > LEAST_HZ) {
      const tone = tones.some(
        ({ frequencyHz: hz, driftHz }) =>
          hz > fromHz && hz < toHz && toHz - fromHz < TONE_BAND_BINS * df + Math.abs(driftHz),
      );
      bands.push({
        fromHz,
        toHz,
        why: tone ? "a fixed tone lies here" : "a line of what turns lies here in every frame",
      });
    }
    from = -1;
  }
  return bands;
}
