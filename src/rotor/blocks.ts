import { validRuns } from "../spectra/frame-grid.js";
import type { Timeline } from "../timeline/timeline.js";

/**
 * Starts of blocks inside valid airborne runs where every speed track is known.
 *
 * @param timeline flight
 * @param speeds tracks, NaN where unknown
 * @param options block length and hop in samples; `margin` samples of known speed wanted on either side
 */
export function knownBlocks(
  timeline: Timeline,
  speeds: readonly Float32Array[],
  options: { readonly length: number; readonly hop: number; readonly margin?: number },
): number[] {
  const { length, hop, margin = 0 } = options;
  const starts: number[] = [];
  for (const run of validRuns(timeline.airborne, timeline.valid)) {
    for (let start = run.from; start + length <= run.to; start += hop) {
      const from = Math.max(0, start - margin);
      const to = Math.min(timeline.length, start + length + margin);
      if (start - margin >= 0 && start + length + margin <= timeline.length && isKnown(speeds, from, to)) {
        starts.push(start);
      }
    }
  }
  return starts;
}

function isKnown(speeds: readonly Float32Array[], from: number, to: number): boolean {
  const stride = Math.max(1, (to - from) >> 6);
  for (const hz of speeds) {
    for (let i = from; i < to; i += stride) if (!(hz[i]! > 0)) return false;
    if (!(hz[to - 1]! > 0)) return false;
  }
  return true;
}

/** At most `most` of a list, evenly spread. */
export function spreadOut<T>(items: readonly T[], most: number): T[] {
  if (items.length <= most) return [...items];
  return Array.from({ length: most }, (_, i) => items[Math.floor((i * items.length) / most)]!);
}
