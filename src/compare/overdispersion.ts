import { binRange } from "../verdict/band-level.js";
import type { CellInput } from "./cell-levels.js";
import { middleOf } from "./classes.js";

/** A third-octave band as cells `[first, last)`. */
export interface BandOfCells {
  readonly first: number;
  readonly last: number;
}

/** Frames a block: 8 with half overlap are about two seconds. */
const BLOCK = 8;
const LEAST_BLOCKS = 6;
/** Weight, in blocks, of the guess that there is nothing but chi-square scatter. */
const PRIOR_BLOCKS = 4;

/**
 * How much more a band's level scatters from block to block of a flight than noise of steady level would: 1 for
 * steady noise. Weather, wash and lines that no order explains make it larger.
 *
 * Each frame's mean over its free bins is divided by its class's mean; blocks of about two seconds follow in time.
 * The ratio of the blocks' variance to what chi-square scatter alone gives is drawn towards 1 when blocks are few.
 *
 * @param slope exponent of the band's power on the drive
 * @returns factor ≥ 1 by which the degrees of freedom shrink
 */
export function overdispersion(input: CellInput, band: BandOfCells, slope: number): number {
  const series = relativeLevels(input, band, slope);
  const blocks: { excess: number; values: number }[] = [];
  for (let at = 0; at + BLOCK <= series.length; at += BLOCK) {
    const part = series.slice(at, at + BLOCK);
    const values = part.reduce((sum, f) => sum + f.values, 0);
    const mean = part.reduce((sum, f) => sum + f.level * f.values, 0) / values;
    blocks.push({ excess: mean - 1, values });
  }
  if (blocks.length < LEAST_BLOCKS) return 1;
  // Var of a mean of n correlated unit exponentials: 1.94 / (0.95 n), so each term is 1 for steady noise.
  const ratio = blocks.reduce((sum, b) => sum + (b.excess ** 2 * b.values * 0.95) / 1.94, 0);
  return Math.max(1, (ratio + PRIOR_BLOCKS) / (blocks.length - 1 + PRIOR_BLOCKS));
}

/** Mean level of each frame that counts over its class's mean, in time order, with the values behind it. */
function relativeLevels(
  { frames, mask, classed, drive, edges }: CellInput,
  band: BandOfCells,
  slope: number,
): { level: number; values: number }[] {
  const { bins, power, starts } = frames;
  const [first, last] = binRange(frames, edges[band.first]!, edges[band.last]!);
  const typical = binMeans({ frames, mask, classed, drive, edges, bands: [] }, [first, last], slope);
  const out: { level: number; values: number }[] = [];
  for (let k = 0; k < starts.length; k++) {
    const c = classed.of[k]!;
    if (c < 0) continue;
    const factor = (middleOf(classed.classes[c]!) / drive[k]!) ** slope;
    let sum = 0;
    let values = 0;
    for (let bin = first; bin < last; bin++) {
      const mean = typical[c]![bin - first]!;
      if (mask[k * bins + bin] !== 0 || !(mean > 0)) continue;
      sum += (power[k * bins + bin]! * factor) / mean;
      values++;
    }
    if (values > 0) out.push({ level: sum / values, values });
  }
  return out;
}

/** Mean of the free values of each bin in each class, at the class's middle. */
function binMeans(
  { frames, mask, classed, drive }: CellInput,
  [first, last]: readonly [number, number],
  slope: number,
): Float64Array[] {
  const { bins, power, starts } = frames;
  const sums = classed.classes.map(() => new Float64Array(last - first));
  const counts = classed.classes.map(() => new Float64Array(last - first));
  for (let k = 0; k < starts.length; k++) {
    const c = classed.of[k]!;
    if (c < 0) continue;
    const factor = (middleOf(classed.classes[c]!) / drive[k]!) ** slope;
    for (let bin = first; bin < last; bin++) {
      if (mask[k * bins + bin] !== 0) continue;
      sums[c]![bin - first]! += power[k * bins + bin]! * factor;
      counts[c]![bin - first]! += 1;
    }
  }
  return sums.map((sum, c) => sum.map((s, i) => s / counts[c]![i]!));
}
