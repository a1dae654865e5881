import type { Hertz } from "../units.js";

export interface Band {
  readonly fromHz: Hertz;
  readonly toHz: Hertz;
}

const G = 10 ** 0.3;

/**
 * Third-octave bands, base ten: mid-band frequencies 1000 · G^(x/3) Hz with G = 10^(3/10), edges a sixth of an
 * octave to either side.
 *
 * @param lowestHz the first band is the one whose mid-band frequency lies at or above this
 * @param highestHz the last band is cut here (Nyquist)
 * @see IEC 61260-1:2014, 5.2 to 5.5
 * @example thirdOctaves(900, 1300)[0] // { fromHz: 891.25, toHz: 1122.02 }
 */
export function thirdOctaves(lowestHz: Hertz, highestHz: Hertz): Band[] {
  const bands: Band[] = [];
  for (let x = Math.ceil(3 * (Math.log(lowestHz / 1000) / Math.log(G)) - 1e-9); ; x++) {
    const middle = 1000 * G ** (x / 3);
    const fromHz = middle * G ** (-1 / 6);
    if (fromHz >= highestHz) return bands;
    bands.push({ fromHz, toHz: Math.min(highestHz, middle * G ** (1 / 6)) });
  }
}
