import { type BlockPhasors, type Projections, projections, weightedBlock } from "./demodulate.js";
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
 * Projections of a series on every line of a block and on what lies `shift` below and above it. With
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
  const block = weightedBlock([y], 0, window);
  const still = block.series[0]!;
  const series = [still, product(still, shift.cos), product(still, shift.sin)];
  const [on, a, b] = projections({ ...block, series }, phasors);
  const moved = (side: 1 | -1): Projections => ({
    re: a!.re.map((re, m) => re + side * b!.im[m]!),
    im: a!.im.map((im, m) => im - side * b!.re[m]!),
  });
  return { on: on!, below: moved(-1), above: moved(1) };
}

function product(a: Float64Array, b: Float64Array): Float64Array {
  const out = new Float64Array(a.length);
  for (let n = 0; n < a.length; n++) out[n] = a[n]! * b[n]!;
  return out;
}
