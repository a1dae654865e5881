import { powerRatio } from "../spectra/decibel.js";
import { AXES, type Axis, type Hertz } from "../units.js";
import { thirdOctaves } from "../verdict/third-octave.js";
import { cellsOfBand, LOWEST_BAND_HZ } from "./cells.js";
import type { CellLevels, Fingerprint } from "./fingerprint.js";
import { type Level, type LevelRatio, levelRatio, sumOfLevels, withScatter } from "./level.js";
import { LEAST_BAND_SHARE, LEAST_DOF } from "./limits.js";

/** Two sides of a comparison, each merged from the flights of one build. */
export interface TwoSides {
  readonly before: Fingerprint;
  readonly after: Fingerprint;
  /** Flight-to-flight standard deviation of either side, dB (already divided by its number of flights). */
  readonly scatterDb: readonly [before: number, after: number];
}

export interface BandRatio extends LevelRatio {
  readonly axis: Axis;
  readonly fromHz: Hertz;
  readonly toHz: Hertz;
  readonly dof: readonly [number, number];
  /** The same levels without the scatter between flights. */
  readonly plain: readonly [Level, Level];
}

/** Positions of the classes that both flew, on the scale on which they share more time. */
export function sharedClasses(
  before: Pick<Fingerprint, "classes">,
  after: Pick<Fingerprint, "classes">,
): [before: number, after: number][] {
  const pairs = before.classes.flatMap((c, i): [number, number][] => {
    const j = after.classes.findIndex((other) => other.index === c.index);
    return j < 0 ? [] : [[i, j]];
  });
  const scales = [0, 1].map((odd) => pairs.filter(([i]) => Math.abs(before.classes[i]!.index % 2) === odd));
  const time = scales.map((own) =>
    own.reduce((sum, [i, j]) => sum + harmonic(before.classes[i]!.seconds, after.classes[j]!.seconds), 0),
  );
  return time[1]! > time[0]! ? scales[1]! : scales[0]!;
}

/**
 * Ratio of every third-octave band of every axis at equal rotor speed.
 *
 * In each class that both flew, the band's power is summed over the cells that are free of lines on both sides.
 * Classes are then added with weights that give each the time both spent there, not its loudness: a harder flight
 * has more time in fast classes, but no class counts on one side more than on the other.
 *
 * @param fromHz bands below are left out: there lies how the craft was flown
 */
export function bandRatios(sides: TwoSides, fromHz: Hertz, toHz: Hertz): BandRatio[] {
  const { before } = sides;
  const bands = thirdOctaves(LOWEST_BAND_HZ, toHz).filter((band) => band.fromHz >= fromHz * 0.999);
  const shared = sharedClasses(before, sides.after);
  return AXES.flatMap((axis) =>
    bands.flatMap((band): BandRatio[] => {
      const cells = cellsOfBand(before.edgesHz, band);
      const levels = bandLevels(sides, { axis, cells, shared });
      if (levels === null) return [];
      const [a, b] = [withScatter(levels[0], sides.scatterDb[0]), withScatter(levels[1], sides.scatterDb[1])];
      return [{ axis, ...band, ...levelRatio(a, b), dof: [a.dof, b.dof], plain: levels }];
    }),
  );
}

interface Where {
  readonly axis: Axis;
  readonly cells: readonly [number, number];
  readonly shared: readonly (readonly [number, number])[];
}

function bandLevels({ before, after }: TwoSides, { axis, cells, shared }: Where): [Level, Level] | null {
  const [one, two] = [before.axes[axis], after.axes[axis]];
  if (one === null || two === null) return null;
  const parts = shared.flatMap(([i, j]) => {
    const free = freeCells(before.edgesHz, cells, [one.dof[i]!, two.dof[j]!]);
    if (free === null) return [];
    const a = powerOf(one, i, { edges: before.edgesHz, free });
    const b = powerOf(two, j, { edges: before.edgesHz, free });
    const seconds = harmonic(before.classes[i]!.seconds, after.classes[j]!.seconds);
    return [{ a, b, weight: seconds / Math.sqrt(a.mean * b.mean) }];
  });
  if (parts.length === 0) return null;
  const weights = parts.map((p) => p.weight);
  return [
    sumOfLevels(
      parts.map((p) => p.a),
      weights,
    ),
    sumOfLevels(
      parts.map((p) => p.b),
      weights,
    ),
  ];
}

/** Cells known on both sides; null when they are too small a part of the band. */
function freeCells(
  edges: readonly number[],
  [first, last]: readonly [number, number],
  dof: readonly [readonly number[], readonly number[]],
): number[] | null {
  const free: number[] = [];
  let width = 0;
  for (let cell = first; cell < last && cell < dof[0].length && cell < dof[1].length; cell++) {
    if (dof[0][cell]! < LEAST_DOF || dof[1][cell]! < LEAST_DOF) continue;
    free.push(cell);
    width += edges[cell + 1]! - edges[cell]!;
  }
  const whole = (edges[last] ?? 0) - (edges[first] ?? 0);
  return width > 0 && width >= LEAST_BAND_SHARE * whole ? free : null;
}

function powerOf(
  levels: CellLevels,
  row: number,
  { edges, free }: { edges: readonly number[]; free: readonly number[] },
): Level {
  const cells = free.map((cell) => ({
    mean: powerRatio(levels.levelDb[row]![cell]!),
    dof: levels.dof[row]![cell]!,
  }));
  return sumOfLevels(
    cells,
    free.map((cell) => edges[cell + 1]! - edges[cell]!),
  );
}

export function harmonic(a: number, b: number): number {
  return (2 * a * b) / (a + b);
}
