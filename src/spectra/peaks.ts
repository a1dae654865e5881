/** A local maximum and what stands around it; positions are in samples. */
export interface Peak {
  readonly index: number;
  readonly height: number;
  /** Height above the higher of the two saddles that separate it from higher ground (or the ends). */
  readonly prominence: number;
  readonly leftBase: number;
  readonly rightBase: number;
  /** Width at half prominence, and the interpolated crossings that it lies between. */
  readonly width: number;
  readonly widthHeight: number;
  readonly left: number;
  readonly right: number;
}

export interface PeakFilter {
  readonly minHeight?: number | undefined;
  /** Samples between kept peaks, at least; higher ones win. */
  readonly minDistance?: number | undefined;
  readonly minProminence?: number | undefined;
  readonly minWidth?: number | undefined;
}

/**
 * Peaks of a curve: samples, or flat tops, higher than both neighbours; never the first or last sample. Filters apply
 * in the order height, distance, prominence, width. A flat top counts as its middle, rounded down.
 *
 * @param z curve, free of NaN
 * @param filter least height, distance, prominence and width
 * @returns peaks by rising index
 * @see the definitions of prominence and half-prominence width that SciPy's find_peaks documents
 * @example findPeaks([0, 2, 2, 0]).map((p) => p.index) // [1]
 */
export function findPeaks(z: ArrayLike<number>, filter: PeakFilter = {}): Peak[] {
  const { minHeight = -Infinity, minDistance = 1, minProminence = 0, minWidth = 0 } = filter;
  const tall = localMaxima(z).filter((index) => z[index]! >= minHeight);
  return spaced(tall, z, minDistance)
    .map((index) => describe(z, index))
    .filter((peak) => peak.prominence >= minProminence && peak.width >= minWidth);
}

/** Indices of local maxima, the middle of flat tops. */
export function localMaxima(z: ArrayLike<number>): number[] {
  const maxima: number[] = [];
  let i = 1;
  while (i < z.length - 1) {
    if (!(z[i - 1]! < z[i]!)) {
      i++;
      continue;
    }
    let end = i + 1;
    while (end < z.length - 1 && z[end] === z[i]) end++;
    if (z[end]! < z[i]!) maxima.push((i + end - 1) >> 1);
    i = end;
  }
  return maxima;
}

/** Drops peaks that lie closer than `distance` to a higher one that is kept. */
function spaced(indices: number[], z: ArrayLike<number>, distance: number): number[] {
  if (distance <= 1) return indices;
  const kept: number[] = [];
  for (const index of indices.toSorted((a, b) => z[b]! - z[a]! || b - a)) {
    if (kept.every((other) => Math.abs(other - index) >= distance)) kept.push(index);
  }
  return kept.sort((a, b) => a - b);
}

function describe(z: ArrayLike<number>, index: number): Peak {
  const height = z[index]!;
  const leftBase = lowest(z, index, -1);
  const rightBase = lowest(z, index, 1);
  const prominence = height - Math.max(z[leftBase]!, z[rightBase]!);
  const widthHeight = height - prominence / 2;
  const left = crossing(z, { index, step: -1, stop: leftBase, level: widthHeight });
  const right = crossing(z, { index, step: 1, stop: rightBase, level: widthHeight });
  return { index, height, prominence, leftBase, rightBase, width: right - left, widthHeight, left, right };
}

/** The lowest sample on one side before the ground rises above the peak; the nearest one of equals. */
function lowest(z: ArrayLike<number>, index: number, step: 1 | -1): number {
  let base = index;
  for (let i = index; i >= 0 && i < z.length && z[i]! <= z[index]!; i += step) {
    if (z[i]! < z[base]!) base = i;
  }
  return base;
}

/** Where the flank falls through a level, by linear interpolation between samples. */
function crossing(
  z: ArrayLike<number>,
  { index, step, stop, level }: { index: number; step: 1 | -1; stop: number; level: number },
): number {
  let i = index;
  while (i !== stop && z[i]! > level) i += step;
  return z[i]! < level ? i - (step * (level - z[i]!)) / (z[i - step]! - z[i]!) : i;
}
