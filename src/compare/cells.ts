import type { Hertz } from "../units.js";
import { type Band, thirdOctaves } from "../verdict/third-octave.js";

/** Lowest band compared: below it lies how the craft was flown, not how it is built. */
export const LOWEST_BAND_HZ = 20;
/** Cells are no narrower than this: two bins of a half-second frame. */
const NARROWEST_HZ = 4;
/** Most cells a third-octave band: about 3 % of the frequency each. */
const MOST_CELLS = 8;
const THIRD_OCTAVE = 10 ** 0.1;

/**
 * Third-octave bands from 20 Hz up, each cut into 1 to 8 cells of equal ratio, so that a band is a whole number of
 * cells and every log has the same edges.
 *
 * @param nyquistHz the last band is cut here
 * @returns edges, rising, one more than cells
 * @example cellEdges(25) // [17.783, 22.387, 25]
 */
export function cellEdges(nyquistHz: Hertz): Hertz[] {
  const bands = thirdOctaves(LOWEST_BAND_HZ, nyquistHz);
  if (bands.length === 0) return [];
  const inner = bands.flatMap((band) => {
    const count = cellsFor(band.fromHz);
    return Array.from({ length: count }, (_, i) => band.fromHz * THIRD_OCTAVE ** (i / count)).filter(
      (edge) => edge < band.toHz,
    );
  });
  return [...inner, bands[bands.length - 1]!.toHz];
}

/** As many equal ratios as leave the first, narrowest cell 4 Hz wide. */
function cellsFor(fromHz: Hertz): number {
  const most = Math.floor(Math.log(THIRD_OCTAVE) / Math.log(1 + NARROWEST_HZ / fromHz));
  return Math.max(1, Math.min(MOST_CELLS, most));
}

/** Cells `[first, last)` of a band, by the middles of the cells. */
export function cellsOfBand(edges: readonly Hertz[], band: Band): [first: number, last: number] {
  const middles = edges.slice(0, -1).map((edge, i) => Math.sqrt(edge * edges[i + 1]!));
  const first = middles.findIndex((hz) => hz >= band.fromHz);
  if (first < 0) return [0, 0];
  const after = middles.findIndex((hz, i) => i >= first && hz >= band.toHz);
  return [first, after < 0 ? middles.length : after];
}
