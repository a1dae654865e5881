import { benjaminiHochberg } from "../stats/benjamini-hochberg.js";
import { chiSquareCdf } from "../stats/chi-square-cdf.js";
import { type LocalFloor, localFloor } from "./local-floor.js";
import { BIN_CORRELATION, type FixedAverage } from "./masked-average.js";

/** A place where the fixed spectrum stands above its floor. */
export interface Candidate {
  readonly frequencyHz: number;
  /** Half-width, as a damping ratio, of the template that fits best. */
  readonly width: number;
  /** Chance that noise anywhere on the axis stands out as much. */
  readonly searchP: number;
  /** Standard deviations above the floor, for ranking. */
  readonly score: number;
}

/** Half-widths of the templates as damping ratios. */
const WIDTHS = [0.006, 0.012, 0.025, 0.045];
const LEAST_HALF_BINS = 0.75;
/** The floor is not quite straight inside its windows: relative variance allowed for that in the ranking. */
const FLOOR_SHAPE_VARIANCE = 0.004;
/** A smaller excess is of no interest, however certain (2 dB). */
export const LEAST_EXCESS = 1.6;
const LEAST_HZ = 7;
/**
 * Independent tests per template and resolution cell: neighbouring templates share bins. Found by matching stated
 * and measured false-alarm rates on exponential noise.
 */
const TESTS_PER_CELL = 1.2;

/** Everything a search over one axis found, per bin. */
export interface Scan {
  readonly floor: LocalFloor;
  /** Smallest p of the templates centred on a bin, before allowing for the number of places looked at. */
  readonly p: Float64Array;
  /** Standard deviations of the best template above the floor; 0 where nothing was looked at. */
  readonly score: Float64Array;
  readonly width: Float64Array;
  /** Number of independent places and widths looked at. */
  readonly tests: number;
}

/** Density over floor (ratio) per bin, NaN where unknown. */
function excessRatio(average: FixedAverage, floor: LocalFloor): Float64Array {
  return average.density.map((s, b) => s / Math.exp(floor.level[b]!));
}

/** Weighted mean excess and its gamma shape over bins b − h … b + h (ends counted in part). */
function templateMean(
  ratio: Float64Array,
  shape: Float64Array,
  bin: number,
  half: number,
): { mean: number; shape: number } {
  const reach = Math.floor(half);
  const end = half - reach;
  let weight = 0;
  let sum = 0;
  for (let b = bin - reach - 1; b <= bin + reach + 1; b++) {
    const r = ratio[b];
    if (r === undefined || !Number.isFinite(r)) continue;
    const w = shape[b]! * (Math.abs(b - bin) > reach ? end : 1);
    weight += w;
    sum += w * r;
  }
  const cells = 2 * half + 1;
  return { mean: sum / weight, shape: (weight / cells) * Math.max(1, cells / BIN_CORRELATION) };
}

/** P(mean of a unit-mean gamma variable of this shape exceeds x). */
function gammaTail(x: number, shape: number): number {
  return Math.max(1 - chiSquareCdf(2 * shape * x, 2 * shape), 1e-300);
}

/**
 * Looks for places above the floor with templates of four widths. Under noise alone the mean of S/floor over a
 * template is a gamma variable (chi-square with twice the shape in degrees of freedom) whose shape allows for the
 * overlap of frames, the correlation of Hann bins and the error of the floor.
 *
 * @see Percival & Walden 1993, ch. 8 (chi-square statistics of averaged spectra)
 */
export function scan(average: FixedAverage): Scan {
  const bins = average.density.length;
  const log = average.density.map((s) => (s > 0 ? Math.log(s) : Number.NaN));
  const floor = localFloor(log, average.shape, average.df);
  const ratio = excessRatio(average, floor);
  const p = new Float64Array(bins).fill(1);
  const score = new Float64Array(bins);
  const width = new Float64Array(bins);
  let tests = 0;
  for (let b = Math.ceil(LEAST_HZ / average.df); b < bins - 2; b++) {
    if (!Number.isFinite(ratio[b]!)) continue;
    score[b] = Number.NEGATIVE_INFINITY;
    for (const z of WIDTHS) {
      const half = Math.max((z * b * average.df) / average.df, LEAST_HALF_BINS);
      if (half === LEAST_HALF_BINS && z !== WIDTHS[0]) continue;
      tests += TESTS_PER_CELL / (2 * half + 1);
      const found = templateMean(ratio, average.shape, b, half);
      const noise = 1 / found.shape + floor.variance[b]!;
      if (found.mean > 1 + 2 * Math.sqrt(noise)) p[b] = Math.min(p[b]!, gammaTail(found.mean, 1 / noise));
      const s = Math.log(found.mean) / Math.sqrt(noise + FLOOR_SHAPE_VARIANCE);
      if (s <= score[b]!) continue;
      score[b] = s;
      width[b] = found.mean > LEAST_EXCESS ? z : 0;
    }
  }
  return { floor, p, score, width, tests };
}

/** Chance that the smallest of `tests` independent p-values is at most p. */
export function overSearch(p: number, tests: number): number {
  return -Math.expm1(tests * Math.log1p(-Math.min(p, 1 - 1e-16)));
}

/** Neighbouring bins share templates: of each cluster this many bins wide the smallest p stands for all. */
const CLUSTER_BINS = 4;

/** The smallest p of every cluster. */
function clusterMinima(p: Float64Array): number[] {
  const minima: number[] = [];
  p.forEach((v, b) => {
    if (v >= 1) return;
    for (let d = -CLUSTER_BINS; d <= CLUSTER_BINS; d++) if (d !== 0 && (p[b + d] ?? 1) < v) return;
    minima.push(v);
  });
  return minima;
}

/**
 * Largest p-value of a bin that still counts as a discovery, over all bins of all axes. In plain noise the chance of
 * any discovery is q; with modes about, the expected share of false ones among them is at most q.
 *
 * @param q bound on the false-discovery rate
 * @see Y. Benjamini, Y. Hochberg, J. R. Stat. Soc. B 57, 1995
 */
export function discoveryLimit(scans: readonly Scan[], q: number): number {
  const minima = scans.flatMap((s) => clusterMinima(s.p));
  const tests = Math.max(minima.length, Math.round(scans.reduce((sum, s) => sum + s.tests, 0)));
  const all = new Float64Array(tests).fill(1);
  all.set(minima);
  const { rejected } = benjaminiHochberg(all, q);
  return minima.reduce(
    (limit, p, i) => (rejected[i] === 1 ? Math.max(limit, p) : limit),
    q / Math.max(tests, 1),
  );
}

/**
 * Local maxima of the scan, thinned to a spacing of max(4 bins, 5 Hz, 3 %), strongest first.
 *
 * @param mostP largest p-value of a bin that counts as a discovery
 */
export function candidates(found: Scan, df: number, mostP: number): Candidate[] {
  const all: Candidate[] = [];
  for (let b = 2; b < found.p.length - 2; b++) {
    const s = found.score[b]!;
    if (found.width[b] === 0 || s <= 0 || found.p[b]! > mostP) continue;
    if ([-2, -1, 1, 2].some((d) => found.score[b + d]! > s)) continue;
    all.push({
      frequencyHz: b * df,
      width: found.width[b]!,
      searchP: overSearch(found.p[b]!, found.tests),
      score: s,
    });
  }
  all.sort((x, y) => y.score - x.score);
  const kept: Candidate[] = [];
  for (const c of all) {
    const spacing = Math.max(4 * df, 5, 0.03 * c.frequencyHz);
    if (kept.every((k) => Math.abs(k.frequencyHz - c.frequencyHz) > spacing)) kept.push(c);
  }
  return kept;
}
