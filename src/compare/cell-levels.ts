import { powerDb } from "../spectra/decibel.js";
import type { ShortTimeSpectrum } from "../spectra/spectrum.js";
import { trimmedExponentialMean } from "../stats/trimmed-exponential-mean.js";
import type { Hertz } from "../units.js";
import { binRange } from "../verdict/band-level.js";
import { type ClassedFrames, middleOf } from "./classes.js";
import type { CellLevels } from "./fingerprint.js";
import { type BandOfCells, overdispersion } from "./overdispersion.js";

/** Share of the largest values left out: bursts, and lines that no order explains. */
const TRIM = 0.1;
/**
 * Degrees of freedom of one value (one frame, one bin): 2, times 18/19 for the half overlap (Percival & Walden 1993,
 * eq. 292b), over 1.94 for the correlation of neighbouring Hann bins and 1.06 for the trimming.
 */
const DOF_PER_VALUE = (2 * (18 / 19)) / (1.94 * 1.06);
/** A cell needs this many values. */
const LEAST_VALUES = 6;
const STEEPEST = 8;
/** Exponent of power on speed where the speed hardly varied: between sensor noise (0) and wash (4). */
const USUAL_SLOPE = 2;

export interface CellInput {
  readonly frames: ShortTimeSpectrum;
  /** frames × bins, 1 = touched by what turns. */
  readonly mask: Uint8Array;
  readonly classed: ClassedFrames;
  /** What each frame is matched by. */
  readonly drive: Float64Array;
  readonly edges: readonly Hertz[];
  /** Cells that make a third-octave band. */
  readonly bands: readonly BandOfCells[];
}

/**
 * Level of every cell in every class between the order lines: trimmed mean of the free values, each carried to the
 * class's middle by the band's own exponent on the drive.
 */
export function cellLevels(input: CellInput): CellLevels {
  const { classed, edges, bands } = input;
  const cells = edges.length - 1;
  const levelDb = classed.classes.map(() => new Array<number | null>(cells).fill(null));
  const dof = classed.classes.map(() => new Array<number>(cells).fill(0));
  for (const band of bands) {
    const slope = slopeOf(input, band);
    const spread = overdispersion(input, band, slope);
    for (let cell = band.first; cell < band.last; cell++) {
      classed.classes.forEach((_, c) => {
        const values = valuesOf(input, { cell, c, slope });
        if (values.length < LEAST_VALUES) return;
        const kept = values.length - Math.floor(TRIM * values.length);
        const mean = trimmedExponentialMean(values, kept, values.length);
        if (!(mean > 0)) return;
        levelDb[c]![cell] = round(powerDb(mean), 2);
        dof[c]![cell] = round((values.length * DOF_PER_VALUE) / spread, 1);
      });
    }
  }
  return { levelDb, dof };
}

/** Free values of one cell in one class, at the class's middle. */
function valuesOf(
  { frames, mask, classed, drive, edges }: CellInput,
  { cell, c, slope }: { cell: number; c: number; slope: number },
): Float64Array {
  const { bins, power, starts } = frames;
  const [first, last] = binRange(frames, edges[cell]!, edges[cell + 1]!);
  const middle = middleOf(classed.classes[c]!);
  const values: number[] = [];
  for (let k = 0; k < starts.length; k++) {
    if (classed.of[k] !== c) continue;
    const factor = (middle / drive[k]!) ** slope;
    for (let i = k * bins + first; i < k * bins + last; i++) {
      if (mask[i] === 0 && power[i]! > 0) values.push(power[i]! * factor);
    }
  }
  return new Float64Array(values);
}

/**
 * Exponent of a band's power on the drive: least squares of ln power on ln drive, every bin about its own means, so
 * that it does not matter which frames are free where.
 */
function slopeOf({ frames, mask, classed, drive, edges }: CellInput, band: BandOfCells): number {
  if (classed.classes.length === 1 && classed.classes[0]!.from === 0) return 0;
  const { bins, power } = frames;
  const [first, last] = binRange(frames, edges[band.first]!, edges[band.last]!);
  const logDrive = drive.map((value) => Math.log(value));
  let xy = 0;
  let xx = 0;
  let all = 0;
  for (let bin = first; bin < last; bin++) {
    const moments = aboutMeans(bin, logDrive, { power, mask, of: classed.of, bins });
    if (moments.n < 2) continue;
    xy += moments.xy;
    xx += moments.xx;
    all += moments.n;
  }
  // A slope less sure than ±1 (ln of an exponential variable scatters by 1.28) says less than the usual one.
  if (!(xx > 1.6 * 1.94) || all === 0) return USUAL_SLOPE;
  return Math.min(STEEPEST, Math.max(0, xy / xx));
}

/** Second moments of ln drive (x) and ln power (y) of one bin's free frames about their means, and how many there are. */
function aboutMeans(
  bin: number,
  logDrive: Float64Array,
  { power, mask, of, bins }: { power: Float32Array; mask: Uint8Array; of: ArrayLike<number>; bins: number },
): { n: number; xx: number; xy: number } {
  let n = 0;
  let sx = 0;
  let sy = 0;
  let sxx = 0;
  let sxy = 0;
  for (let k = 0, i = bin; k < logDrive.length; k++, i += bins) {
    if (of[k]! < 0 || mask[i] !== 0 || !(power[i]! > 0)) continue;
    const x = logDrive[k]!;
    const y = Math.log(power[i]!);
    n++;
    sx += x;
    sy += y;
    sxx += x * x;
    sxy += x * y;
  }
  return { n, xx: sxx - (sx * sx) / n, xy: sxy - (sx * sy) / n };
}

export function round(value: number, decimals: number): number {
  return Number(value.toFixed(decimals));
}
