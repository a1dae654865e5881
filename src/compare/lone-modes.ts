import type { Mode } from "../modes/mode.js";
import { powerRatio } from "../spectra/decibel.js";
import type { Axis } from "../units.js";
import { sharedClasses } from "./compare-levels.js";
import type { ComparedFlight } from "./compared-flight.js";
import type { LoneMode } from "./comparison.js";
import { normalPValue } from "./discoveries.js";
import type { Fingerprint } from "./fingerprint.js";
import { type Level, sumOfLevels } from "./level.js";
import { LEAST_DOF, SURE } from "./limits.js";

/** A peak is gone when it stands, with its uncertainty, below this share of its height in the other log. */
const GONE = 0.5;
const DB = 10 / Math.LN10;

interface Side {
  readonly flight: Pick<ComparedFlight, "unobservable" | "sampleRateHz">;
  readonly fingerprint: Fingerprint | null;
}

/**
 * What the other log says of a mode that it does not list. A mode is only called absent when the other log could
 * have shown it and the spectrum there, at the same rotor speeds, has no peak to speak of.
 *
 * @param own the side that shows the mode
 * @param other the side that does not
 */
export function loneMode(
  mode: Mode,
  side: LoneMode["side"],
  { own, other }: { own: Side; other: Side },
): LoneMode {
  const unknown = { mode, side, fallDb: null, pValue: null };
  const half = Math.max(2, mode.dampingRatio * mode.frequencyHz);
  const hidden = other.flight.unobservable.some(
    (band) => band.fromHz < mode.frequencyHz + half && band.toHz > mode.frequencyHz - half,
  );
  if (hidden || mode.frequencyHz + half > 0.475 * other.flight.sampleRateHz) {
    return { ...unknown, inOther: "hidden", why: "the other log could not have shown a mode there" };
  }
  const contrast = contrastOf(mode, own.fingerprint, other.fingerprint);
  if (contrast === null || mode.confidence < SURE) {
    return { ...unknown, inOther: "unclear", why: "these logs do not show the band at equal rotor speeds" };
  }
  const { here, there, sd } = contrast;
  const gone = there + 1.645 * sd < GONE * here;
  return {
    mode,
    side,
    inOther: gone ? "absent" : "unclear",
    fallDb: DB * (here - there),
    pValue: normalPValue(Math.max(0, here - there) / sd),
    why: gone
      ? "the spectrum there has no such peak"
      : "the other log shows part of the peak, too little to call a mode",
  };
}

/** Height of the peak over its sides in nepers of power on both sides, on the mode's strongest axis. */
function contrastOf(
  mode: Mode,
  own: Fingerprint | null,
  other: Fingerprint | null,
): { here: number; there: number; sd: number } | null {
  if (own === null || other === null || own.matchedBy !== other.matchedBy) return null;
  const strongest = [...mode.axes].sort((a, b) => b.prominenceDb - a.prominenceDb)[0];
  if (strongest === undefined) return null;
  const { axis } = strongest;
  const width = Math.max(1.5 * mode.dampingRatio, 0.02);
  const core = cellsWithin(own, mode.frequencyHz, [0, width]);
  const sides = cellsWithin(own, mode.frequencyHz, [2 * width, Math.max(0.2, 5 * width)]);
  const levels = [own, other].map((_, which) =>
    [core, sides].map((cells) => pooled([own, other], { axis, cells, which })),
  );
  const [[peakHere, floorHere], [peakThere, floorThere]] = levels as [
    [Level | null, Level | null],
    [Level | null, Level | null],
  ];
  if (!peakHere || !floorHere || !peakThere || !floorThere) return null;
  const variance = [peakHere, floorHere, peakThere, floorThere].reduce((sum, l) => sum + 2 / l.dof, 0);
  return {
    here: Math.log(peakHere.mean / floorHere.mean),
    there: Math.log(peakThere.mean / floorThere.mean),
    sd: Math.sqrt(variance),
  };
}

/** Cells whose middle lies between two relative distances from a frequency. */
function cellsWithin({ edgesHz }: Fingerprint, hz: number, [near, far]: readonly [number, number]): number[] {
  const distance = (i: number): number => Math.abs(Math.sqrt(edgesHz[i]! * edgesHz[i + 1]!) / hz - 1);
  const cells = edgesHz.slice(0, -1).map((_, i) => i);
  const within = cells.filter((i) => distance(i) >= near && distance(i) <= far);
  if (near > 0 || within.length > 0) return within;
  return cells.filter((i) => edgesHz[i]! <= hz && hz < edgesHz[i + 1]!);
}

/** Level of some cells over the classes that both flew and in which both know the cell. */
function pooled(
  both: readonly [Fingerprint, Fingerprint] | readonly Fingerprint[],
  { axis, cells, which }: { axis: Axis; cells: readonly number[]; which: number },
): Level | null {
  const [one, two] = both as readonly [Fingerprint, Fingerprint];
  const [a, b] = [one.axes[axis], two.axes[axis]];
  if (a === null || b === null) return null;
  const parts: Level[] = [];
  for (const [i, j] of sharedClasses(one, two)) {
    for (const cell of cells) {
      if (!(a.dof[i]![cell]! >= LEAST_DOF && b.dof[j]![cell]! >= LEAST_DOF)) continue;
      const [levels, row] = which === 0 ? [a, i] : [b, j];
      parts.push({ mean: powerRatio(levels.levelDb[row]![cell]!), dof: levels.dof[row]![cell]! });
    }
  }
  if (parts.length === 0) return null;
  return sumOfLevels(
    parts,
    parts.map(() => 1 / parts.length),
  );
}
