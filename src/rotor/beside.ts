import { type BlockPhasors, type Projections, weightedSeries } from "./demodulate.js";
import { type Turned, turned } from "./turned.js";

/** What a series holds on every line of a block, and on the same lines moved down and up by one frequency. */
export interface ThreePlaces {
  readonly on: Projections;
  readonly below: Projections;
  readonly above: Projections;
}

/** Phase of a moving frequency, cos θn and sin θn with θn = 2π · shift · n. @param shift Hz over the rate of the phasors */
export function shiftBy(shift: number, length: number): Turned {
  const phase = new Float64Array(length);
  for (let n = 0; n < length; n++) phase[n] = 2 * Math.PI * shift * n;
  return turned(phase);
}

/**
 * Projections of a series on every line of a block and on what lies `shift` below and above it, in one pass. With
 * A = Σ w y cos θ e^{−iφ} and B = Σ w y sin θ e^{−iφ}, a line moved up by θ sees A − iB and one moved down A + iB: no
 * line needs to be turned itself. The normal matrix of moved lines is that of the lines: only differences of phase enter.
 *
 * @param y one series of the block, as many values as phasors
 */
export function projectionsBeside(
  y: Float32Array | Float64Array,
  phasors: BlockPhasors,
  window: Float64Array,
  shift: Turned,
): ThreePlaces {
  const { weighted, total } = weightedSeries(y, 0, window);
  const inPhase = new Float64Array(weighted.length);
  const across = new Float64Array(weighted.length);
  for (let n = 0; n < weighted.length; n++) {
    inPhase[n] = weighted[n]! * shift.cos[n]!;
    across[n] = weighted[n]! * shift.sin[n]!;
  }
  const size = phasors.cos.length;
  const places = { on: empty(size), below: empty(size), above: empty(size) };
  for (let m = 0; m < size; m++) {
    const cos = phasors.cos[m]!;
    const sin = phasors.sin[m]!;
    let [onRe, onIm, aRe, aIm, bRe, bIm] = [0, 0, 0, 0, 0, 0];
    for (let n = 0; n < weighted.length; n++) {
      const c = cos[n]!;
      const s = sin[n]!;
      onRe += weighted[n]! * c;
      onIm -= weighted[n]! * s;
      aRe += inPhase[n]! * c;
      aIm -= inPhase[n]! * s;
      bRe += across[n]! * c;
      bIm -= across[n]! * s;
    }
    put(places.on, m, [onRe, onIm], total);
    put(places.above, m, [aRe + bIm, aIm - bRe], total);
    put(places.below, m, [aRe - bIm, aIm + bRe], total);
  }
  return places;
}

const empty = (size: number): Projections => ({ re: new Float64Array(size), im: new Float64Array(size) });

function put(to: Projections, m: number, [re, im]: readonly [number, number], total: number): void {
  to.re[m] = (2 * re) / total;
  to.im[m] = (2 * im) / total;
}
