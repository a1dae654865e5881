import { EigenvalueDecomposition, Matrix, SingularValueDecomposition } from "ml-matrix";
import type { AxisMode } from "./axis-mode.js";
import { fitWindow } from "./fit-modes.js";
import type { FixedAverage } from "./masked-average.js";
import type { MergedMode } from "./merge.js";
import type { Mode } from "./mode.js";

/** A pole of the band-limited correlation. */
export interface Pole {
  readonly frequencyHz: number;
  readonly dampingRatio: number;
}

/** Lags up to this share of the frame: beyond, the window leaves too little of the correlation. */
const LAG_SHARE = 0.38;
/** Edges of the band are faded over this share of it. */
const FADE = 0.15;
const ORDERS = [2, 4, 6, 8, 10];
/** A pole is stable when it shows up at this many model orders. */
const STABLE_ORDERS = 3;
const MOST_LAGS = 48;

/** Correlation of a periodic Hann window with itself at a lag, as a share of the frame; 1 at lag 0. */
export function hannCorrelation(share: number): number {
  const x = 2 * Math.PI * share;
  return (1 - share) * (2 / 3 + Math.cos(x) / 3) + Math.sin(x) / (2 * Math.PI);
}

/** Excess of the spectrum over a straight ln floor between the band's edges; gaps are bridged. */
function excess(average: FixedAverage, from: number, to: number): Float64Array | null {
  const out = new Float64Array(to - from + 1);
  const edge = Math.max(3, Math.round(0.12 * out.length));
  const meanLog = (a: number, b: number): number => {
    let sum = 0;
    let n = 0;
    for (let i = a; i < b; i++)
      if (average.density[i]! > 0) [sum, n] = [sum + Math.log(average.density[i]!), n + 1];
    return sum / n;
  };
  const left = meanLog(from, from + edge);
  const right = meanLog(to - edge + 1, to + 1);
  if (!Number.isFinite(left + right)) return null;
  let last = 0;
  for (let i = 0; i < out.length; i++) {
    const floor = Math.exp(left + ((right - left) * i) / (out.length - 1));
    const s = average.density[from + i]!;
    const fade = Math.min(1, i / (FADE * out.length), (out.length - 1 - i) / (FADE * out.length));
    last = s > 0 ? s / floor - 1 : last;
    out[i] = last * 0.5 * (1 - Math.cos(Math.PI * fade));
  }
  return out;
}

/** Correlation of the band, moved down so that its lower edge lies at 0 Hz, at lags k / (2 · bandwidth). */
function bandCorrelation(band: Float64Array): Float64Array {
  const count = Math.min(MOST_LAGS, Math.floor(2 * band.length * LAG_SHARE));
  return Float64Array.from({ length: count }, (_, k) => {
    let sum = 0;
    for (let b = 0; b < band.length; b++) sum += band[b]! * Math.cos((Math.PI * b * k) / band.length);
    return sum / hannCorrelation(k / (2 * band.length));
  });
}

/** Poles of one model order from the block Hankel matrices' singular value decomposition. */
function polesOfOrder(
  svd: SingularValueDecomposition,
  shifted: Matrix,
  order: number,
): { re: number; im: number }[] {
  const u = svd.leftSingularVectors.subMatrix(0, shifted.rows - 1, 0, order - 1);
  const v = svd.rightSingularVectors.subMatrix(0, shifted.columns - 1, 0, order - 1);
  const root = svd.diagonal.slice(0, order).map((s) => 1 / Math.sqrt(Math.max(s, 1e-12)));
  const state = u.transpose().mmul(shifted).mmul(v);
  for (let i = 0; i < order; i++)
    for (let j = 0; j < order; j++) state.set(i, j, state.get(i, j) * root[i]! * root[j]!);
  const { realEigenvalues, imaginaryEigenvalues } = new EigenvalueDecomposition(state);
  return realEigenvalues.map((re, i) => ({ re, im: imaginaryEigenvalues[i]! }));
}

/**
 * Covariance-driven stochastic subspace identification of one band: the correlation function of the masked spectrum
 * in the band (lower edge moved to 0 Hz) fills a Hankel matrix, whose truncated singular value decomposition gives a
 * state matrix; its eigenvalues are the poles. Done for several model orders; a pole that shows up at three or more is
 * stable (stabilisation diagram).
 *
 * @param average fixed spectrum of one axis
 * @param fromHz lower edge of the band
 * @param toHz upper edge
 * @returns poles per model order
 * @see P. Van Overschee, B. De Moor, Subspace Identification for Linear Systems, 1996;
 *      J.-N. Juang, R. S. Pappa, J. Guidance 8(5), 1985 (eigensystem realisation)
 */
export function bandPoles(average: FixedAverage, fromHz: number, toHz: number): Pole[][] | null {
  const from = Math.max(1, Math.round(fromHz / average.df));
  const to = Math.min(average.density.length - 2, Math.round(toHz / average.df));
  if (to - from < 12) return null;
  const band = excess(average, from, to);
  if (band === null) return null;
  const r = bandCorrelation(band);
  const rows = Math.floor((r.length - 1) / 2);
  const hankel = Matrix.zeros(rows, rows);
  const shifted = Matrix.zeros(rows, rows);
  for (let i = 0; i < rows; i++) {
    for (let j = 0; j < rows; j++) {
      hankel.set(i, j, r[i + j + 1]!);
      shifted.set(i, j, r[i + j + 2] ?? 0);
    }
  }
  const svd = new SingularValueDecomposition(hankel);
  const step = 1 / (2 * band.length * average.df);
  return ORDERS.filter((n) => n <= rows - 2).map((n) =>
    polesOfOrder(svd, shifted, n)
      .filter(({ im }) => im > 0)
      .map(({ re, im }) => physicalPole(re, im, step, from * average.df))
      .filter((p) => p.dampingRatio > 0 && p.dampingRatio < 0.2),
  );
}

/** Discrete pole of the moved band to natural frequency and damping ratio. */
function physicalPole(re: number, im: number, step: number, fromHz: number): Pole {
  const decay = -Math.log(Math.hypot(re, im)) / step;
  const omega = Math.atan2(im, re) / step + 2 * Math.PI * fromHz;
  const natural = Math.hypot(omega, decay);
  return { frequencyHz: natural / (2 * Math.PI), dampingRatio: decay / natural };
}

/** A pole is a mode's when it lies within these of it: half-widths, Hz, deviations; and by damping, as a ratio. */
const SAME_POLE = { halfWidths: 0.5, hz: 0.75, sds: 1.5, damping: 2.5 };

/** What the second method is asked about. */
export type AskedMode = Pick<AxisMode, "frequencyHz" | "dampingRatio" | "sdHz">;

function agrees(pole: Pole, { frequencyHz, dampingRatio, sdHz }: AskedMode): boolean {
  const { halfWidths, hz, sds, damping } = SAME_POLE;
  const reach = Math.max(hz, halfWidths * dampingRatio * frequencyHz, sds * sdHz);
  const ratio = Math.abs(Math.log(pole.dampingRatio / dampingRatio));
  return Math.abs(pole.frequencyHz - frequencyHz) < reach && ratio < Math.log(damping);
}

/**
 * Whether the second method finds a mode on one axis: a pole of its frequency and damping at three model orders or
 * more. It knows nothing of the first method's floor, line shape or start; it works on the same masked average, so what
 * is wrong with that (a line that no mask knew) deceives both.
 */
export function agreementOn(average: FixedAverage, mode: AskedMode): Mode["agreement"] {
  const place = fitWindow(mode.frequencyHz, mode.dampingRatio, average.df);
  const poles = bandPoles(average, place.fromHz, place.toHz);
  if (poles === null) return "untested";
  const orders = poles.filter((order) => order.some((pole) => agrees(pole, mode))).length;
  return orders >= STABLE_ORDERS ? "both" : "one";
}

/** The best of the axes that show the mode. */
export function agreementOf(mode: MergedMode): Mode["agreement"] {
  const told = mode.seen.map((seen) => agreementOn(seen.average, seen));
  if (told.includes("both")) return "both";
  return told.includes("one") ? "one" : "untested";
}
