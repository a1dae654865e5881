import { fold } from "../rotor/fold.js";
import type { OrderLine, RotorEstimate } from "../rotor/rotor.js";
import type { FrameGrid } from "../spectra/spectrum.js";
import type { Hertz } from "../units.js";

/** One line of one motor (or of all together) in one frame. */
export interface PlannedLine {
  /** Index into the rotor's tracks. */
  readonly track: number;
  readonly order: number;
  /** True frequency, Hz, folded or not: order · mean speed in the frame. */
  readonly hz: Hertz;
  /** The highest that it reaches in the frame. */
  readonly highestHz: Hertz;
  /** Expected power relative to other lines, to share out cells that several lie in. */
  readonly weight: number;
}

/** Neighbouring bins that one or more lines fill. */
export interface LineCluster {
  readonly from: number;
  /** Last bin, inclusive. */
  readonly to: number;
  readonly lines: readonly PlannedLine[];
}

/** Bins beside a line's path that the skirt of a Hann window fills. */
const GUARD = 3;
/** Lines under this level over the floor are left in it. */
const LEAST_DB = 3;
const MOST_ORDERS = 6;
/** Lines may fill up to this share of a frame's bins; fainter ones then stay in the floor. */
const MOST_COVERED = 0.8;

/** Orders worth a place of their own, the strongest first. */
export function strongOrders(rotor: RotorEstimate): OrderLine[] {
  return rotor.orders
    .filter((line) => line.levelDb >= LEAST_DB)
    .sort((a, b) => b.levelDb - a.levelDb)
    .slice(0, MOST_ORDERS);
}

/** Mean speed of every track in a frame, Hz; NaN where unknown. */
export function frameSpeeds(rotor: RotorEstimate, start: number, length: number): Hertz[] {
  return rotor.tracks.map(({ hz }) => {
    let sum = 0;
    for (let i = 0; i < 8; i++) sum += hz[start + Math.floor(((i + 0.5) * length) / 8)]!;
    return sum / 8;
  });
}

/**
 * Where the lines of what turns lie in one frame of a log, folded ones where they show.
 *
 * @param rotor speeds over time and the orders found
 * @param grid frames
 * @param frame its first sample, and the frequency below which bins belong to steering: a line that folds down there is lost in it
 * @returns clusters of bins by rising frequency, none overlapping
 */
export function planLines(
  rotor: RotorEstimate,
  grid: FrameGrid,
  { start, fromHz }: { readonly start: number; readonly fromHz: Hertz },
): LineCluster[] {
  const lowest = Math.ceil((fromHz * grid.segmentLength) / grid.sampleRate);
  let clusters: LineCluster[] = [];
  for (const line of strongOrders(rotor)) {
    const spots = rotor.tracks.flatMap((_, track) => spotOf(rotor, grid, { line, track, start, lowest }));
    const more = merged([...clusters, ...spots]);
    if (more.reduce((sum, { from, to }) => sum + to - from + 1, 0) > MOST_COVERED * grid.bins) break;
    clusters = more;
  }
  return clusters;
}

/** The bins that one order of one motor fills in a frame; none where its speed is not known. */
function spotOf(
  rotor: RotorEstimate,
  { segmentLength, sampleRate, bins }: FrameGrid,
  at: { readonly line: OrderLine; readonly track: number; readonly start: number; readonly lowest: number },
): LineCluster[] {
  const { order, levelDb, halfWidth } = at.line;
  const { hz, motor } = rotor.tracks[at.track]!;
  const seen = PATH.map((s) => hz[at.start + Math.round(s * (segmentLength - 1))]! * order);
  if (seen.some(Number.isNaN)) return [];
  // a common track stands for motors of slightly different speed
  const spread = motor === null ? halfWidth : 0;
  const ends = [Math.min(...seen) * (1 - spread), Math.max(...seen) * (1 + spread), ...seen];
  const shown = ends.map((f) => (fold(f, sampleRate) * segmentLength) / sampleRate);
  const from = Math.max(at.lowest, Math.floor(Math.min(...shown)) - GUARD);
  const to = Math.min(bins - 2, Math.ceil(Math.max(...shown)) + GUARD);
  const mean = seen.reduce((sum, f) => sum + f, 0) / seen.length;
  const weight = 10 ** (levelDb / 10);
  return to < from
    ? []
    : [{ from, to, lines: [{ track: at.track, order, hz: mean, highestHz: Math.max(...ends), weight }] }];
}

/** Where in a frame the speed is read. */
const PATH = [0, 0.25, 0.5, 0.75, 1] as const;

/** Overlapping or touching spots as one. */
function merged(spots: LineCluster[]): LineCluster[] {
  const out: LineCluster[] = [];
  for (const spot of spots.sort((a, b) => a.from - b.from)) {
    const last = out[out.length - 1];
    if (last !== undefined && spot.from <= last.to + 1) {
      const both = { from: last.from, to: Math.max(last.to, spot.to), lines: [...last.lines, ...spot.lines] };
      out[out.length - 1] = both;
    } else {
      out.push(spot);
    }
  }
  return out;
}

const CROWD_FRAMES = 12;

/** Mean share of a frame's bins in which lines lie whose true frequencies differ by over 10 %: folded onto each other. */
export function crowdedShare(rotor: RotorEstimate, grid: FrameGrid, fromHz: Hertz): number {
  const step = Math.max(1, Math.floor(grid.starts.length / CROWD_FRAMES));
  let [shared, frames] = [0, 0];
  for (let f = 0; f < grid.starts.length; f += step) {
    frames++;
    for (const { from, to, lines } of planLines(rotor, grid, { start: grid.starts[f]!, fromHz })) {
      const hz = lines.map((line) => line.hz);
      if (Math.max(...hz) > 1.1 * Math.min(...hz)) shared += to - from + 1;
    }
  }
  return frames === 0 ? 0 : shared / (frames * grid.bins);
}
