/** Parts into which the upper half of the band is cut; the search starts from the second lowest. */
const PARTS = 8;
const RANK = 1;
/** Expected value of the second lowest of eight standard normal numbers (H. L. Harter, Biometrika 48, 1961). */
const EXPECTED_RANK = -0.852;
/** Variance of the mean of K half-overlapping Hann periodograms over B bins, times K B: 1.94 · 1.06. */
const MEAN_VARIANCE = 2.06;
/** Parts up to this many standard deviations above the start belong to the same flat floor. */
const SAME_FLOOR = 2.5;

/**
 * Level of the flat floor that a gyro shows towards Nyquist. The upper half of the band is cut into eight parts; the
 * second lowest, freed of the bias of taking a low one, says where the floor is, and the mean of all parts that agree
 * with it within chance is its level. Parts with lines or modes stand higher and are left out.
 *
 * A log that picks every M-th sample of a loop lays M − 1 images of what lies above its Nyquist on top of what it
 * shows. A floor that is white up to half the loop rate (sensor noise is, wash nearly) comes to M times its true level.
 *
 * @param density one-sided averaged PSD, bins from 0 to Nyquist
 * @param frames half-overlapping Hann frames behind it
 * @returns unit²/Hz; an upper bound of the white part
 */
export function whiteFloor(density: Float64Array, frames: number): number {
  const from = density.length >> 1;
  const to = Math.floor(density.length * 0.98);
  const means = Array.from({ length: PARTS }, (_, p) => {
    const first = from + Math.floor(((to - from) * p) / PARTS);
    const end = Math.max(first + 1, from + Math.floor(((to - from) * (p + 1)) / PARTS));
    let sum = 0;
    for (let k = first; k < end; k++) sum += density[k]!;
    return sum / (end - first);
  });
  means.sort((a, b) => a - b);
  const spread = Math.sqrt(MEAN_VARIANCE / (Math.max(1, frames) * Math.max(1, (to - from) / PARTS)));
  const start = means[RANK]! / Math.max(0.5, 1 + EXPECTED_RANK * spread);
  const same = means.filter((mean) => mean <= start * (1 + SAME_FLOOR * spread));
  return same.reduce((sum, mean) => sum + mean, 0) / same.length;
}

/**
 * Share of a white floor in a log that came down from above the log's Nyquist: 1 − log rate / loop rate.
 *
 * @example foldedShareOfWhite(1000, 4000) // 0.75
 */
export function foldedShareOfWhite(logRate: number, loopRate: number): number {
  return Math.max(0, 1 - logRate / loopRate);
}
