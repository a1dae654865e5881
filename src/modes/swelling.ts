import { fold } from "../rotor/fold.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { FrameGrid } from "../spectra/spectrum.js";
import type { ResolutionBank } from "./resolution-bank.js";
import { frameRanges, type SpeedRange } from "./speed-classes.js";

/** Level of one order's lines on one axis, frame by frame, where they stand clear. */
export interface LineHistory {
  /** Where the line lay, true frequency, Hz. */
  readonly hz: Float64Array;
  /** ln of its power, the floor's taken off. */
  readonly log: Float64Array;
  /** Whose line it is: the track's index. Motors shake differently. */
  readonly track: Uint8Array;
  /** Typical half-width over which it lay smeared in a frame, relative. */
  readonly smear: number;
}

/** A frame in which a line sweeps further to either side than this share says nothing of one frequency. */
const MOST_SMEAR = 0.04;
/** The window's main lobe, bins to either side. */
const LOBE_BINS = 2;
/** The line must carry this many times the floor's power under it. */
const LEAST_CLEAR = 2;
const LEAST_FRAMES = 12;
/** Half-overlapped frames, and lines of several motors that lie together: independent values per value. */
const WORTH = 0.5;
/** Mean square of the rise (ln), beyond what growth with speed explains, below which a line was not both near and away. */
const LEAST_CONTRAST = 1e-3;
/** Residuals beyond this many deviations are drawn in. */
const CLIP = 2.5;

/** Power in a band of one frame less that of the floor under it; NaN where it does not stand clear. */
function clearPower(
  power: Float32Array,
  row: number,
  band: readonly [number, number],
  floor: (bin: number) => number,
): number {
  let sum = 0;
  let under = 0;
  for (let b = band[0]; b <= band[1]; b++) {
    sum += power[row + b]!;
    under += floor(b);
  }
  return sum > LEAST_CLEAR * under ? sum - under : Number.NaN;
}

/** Bins of an order's line in one frame, folded where it must; null where it cannot be told apart. */
function lineBand(
  { low, high }: SpeedRange,
  order: number,
  { sampleRate, bins, segmentLength }: FrameGrid,
): readonly [number, number] | null {
  if (!((high - low) / (high + low) < MOST_SMEAR)) return null;
  const nyquist = sampleRate / 2;
  if (Math.floor((order * low) / nyquist) !== Math.floor((order * high) / nyquist)) return null;
  const perHz = segmentLength / sampleRate;
  const middle = fold((order * (low + high)) / 2, sampleRate) * perHz;
  const reach = ((order * (high - low)) / 2) * perHz + LOBE_BINS;
  const band = [Math.floor(middle - reach), Math.ceil(middle + reach)] as const;
  return band[0] >= 1 && band[1] < bins ? band : null;
}

/**
 * How strong an order's line was, and where, in every frame in which it stood clear: of every motor, or of all
 * together where only a common speed is known.
 *
 * @returns null when no speed is known or too few frames tell
 */
export function lineHistory(
  bank: ResolutionBank,
  rotor: RotorEstimate,
  { axis, order }: { axis: number; order: number },
): LineHistory | null {
  const { plane, levelling } = bank.base;
  const { grid, axes } = plane;
  const { density } = bank.averages[axis]!;
  const follow = levelling.follow[axis]!;
  const rows: { hz: number; log: number; track: number; smear: number }[] = [];
  rotor.tracks.forEach(({ hz }, track) => {
    frameRanges(grid, hz).forEach((range, k) => {
      const band = lineBand(range, order, grid);
      if (band === null) return;
      const excitation = levelling.excitation[k]!;
      const floor = (b: number): number =>
        density[b]! > 0 ? density[b]! * Math.exp(follow[b]! * excitation) : 0;
      const power = clearPower(axes[axis]!.power, k * grid.bins, band, floor);
      if (!(power > 0)) return;
      const { low, high } = range;
      const smear = (high - low) / (high + low);
      rows.push({ hz: (order * (low + high)) / 2, log: Math.log(power), track, smear });
    });
  });
  if (rows.length < LEAST_FRAMES) return null;
  return {
    hz: Float64Array.from(rows, (r) => r.hz),
    log: Float64Array.from(rows, (r) => r.log),
    track: Uint8Array.from(rows, (r) => r.track),
    smear: rows.reduce((s, r) => s + r.smear, 0) / rows.length,
  };
}

/** A resonance that a line may sweep through. */
export interface Resonance {
  readonly frequencyHz: number;
  readonly dampingRatio: number;
  /** Peak over floor, ratio. */
  readonly gain: number;
}

/** How much of a resonance's own rise a line shows: 1 all of it, 0 none, with its standard deviation. */
export interface Swelling {
  readonly share: number;
  readonly sd: number;
}

/**
 * Regresses the line's ln power on ln frequency (forces grow with speed) and on the rise that the resonance would give,
 * ln(1 + A/(1 + x²)), smeared as the line is.
 *
 * @returns null when the line was not both near and away from it
 */
export function swellingAt(line: LineHistory, mode: Resonance): Swelling | null {
  const width = Math.hypot(mode.dampingRatio, line.smear);
  const gain = (mode.gain * mode.dampingRatio) / width;
  const rise = line.hz.map((f) => {
    const x = (f / mode.frequencyHz - mode.frequencyHz / f) / (2 * width);
    return Math.log(1 + gain / (1 + x * x));
  });
  const within = (x: Float64Array): Float64Array => lessTrackMeans(x, line.track);
  const growth = within(line.hz.map(Math.log));
  const risen = within(rise);
  let y = within(line.log);
  let fit = regress(y, growth, risen);
  for (let round = 0; round < 2 && fit !== null; round++) {
    const { model, sd } = fit;
    y = within(y.map((v, i) => model[i]! + Math.max(-CLIP * sd, Math.min(CLIP * sd, v - model[i]!))));
    fit = regress(y, growth, risen);
  }
  return fit && { share: fit.share, sd: fit.shareSd };
}

/** Values less the mean of their own track. */
function lessTrackMeans(x: Float64Array, track: Uint8Array): Float64Array {
  const sum = new Float64Array(256);
  const count = new Float64Array(256);
  x.forEach((v, i) => {
    sum[track[i]!]! += v;
    count[track[i]!]! += 1;
  });
  return x.map((v, i) => v - sum[track[i]!]! / count[track[i]!]!);
}

/** Least squares of y on u and v, all of mean 0: the coefficient of v. */
function regress(
  y: Float64Array,
  u: Float64Array,
  v: Float64Array,
): { share: number; shareSd: number; model: Float64Array; sd: number } | null {
  const n = y.length;
  let [uu, uv, vv, uy, vy] = [0, 0, 0, 0, 0];
  for (let i = 0; i < n; i++) {
    const [a, b, c] = [u[i]!, v[i]!, y[i]!];
    uu += a * a;
    uv += a * b;
    vv += b * b;
    uy += a * c;
    vy += b * c;
  }
  const own = uu > 0 ? vv - (uv * uv) / uu : 0;
  if (!(own > LEAST_CONTRAST * n)) return null;
  const share = (vy - (uv * uy) / uu) / own;
  const slope = (uy - share * uv) / uu;
  const model = u.map((a, i) => slope * a + share * v[i]!);
  const square = y.reduce((s, e, i) => s + (e - model[i]!) ** 2, 0) / Math.max(1, n - 3);
  return { share, shareSd: Math.sqrt(square / (WORTH * own)), model, sd: Math.sqrt(square) };
}

/** A line swells with a mode when it shows this share of its rise, by so many deviations. */
const SWELLS = { share: 0.3, sds: 3 };

/** Whether a line surely swells as it passes a mode; null where that cannot be told. */
export function swells(found: Swelling | null): boolean | null {
  if (found === null) return null;
  if (found.share > SWELLS.share && found.share > SWELLS.sds * found.sd) return true;
  return found.share + 2 * found.sd < SWELLS.share ? false : null;
}
