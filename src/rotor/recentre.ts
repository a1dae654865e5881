import type { LineMap } from "./line-map.js";
import { meanLevel } from "./search.js";

/** Ratios looked at on either side: motors of one craft differ by up to this share … */
const WIDEST = 0.28;
/** The same where every motor is read along its own command. */
const WIDEST_OWN = 0.12;
/** … and orders lie one apart. */
const HALF_ORDER = 0.45;
const STEP = 0.005;
/** Orders fainter than this say nothing about the motors' spread, natural log units. */
const FAINT = 0.5;
/** A line of a quieter motor counts like the loudest one's once it stands this high, as a share and at most. */
const CAP_SHARE = 0.5;
const CAP = 1.5;
/**
 * The motors' lines end where the level has sunk to this, as a share of the highest and at least: further down the skirts of
 * the loudest line would count for motors (shares of 0.2 to 0.4 do alike on simulated flights; 0.12 leaves 0.6 % for 0.4 %
 * in the median of those with one common command).
 */
const END_SHARE = 0.25;
const END = 0.12;
const ORDERS = [1, 2, 3, 4, 5, 6];

/** Where the middle of the motors' lines lies beside the tracked one. */
export interface Recentring {
  /** Mean speed of the motors over the tracked speed. */
  readonly ratio: number;
  /** Half the width of the motors' lines, as a share. */
  readonly halfSpread: number;
}

/**
 * Finds the middle of the motors' lines. Motors differ by some per cent in speed (trim, motor constants, coaxial
 * pairs) and the tracker follows the loudest; their lines together make a plateau in the level over the ratio to the
 * tracked speed, and its middle is nearer to their mean. Where each motor's command is known, every motor is read
 * along its own track and only its motor constant is left to differ.
 *
 * @param map levels, frames of about half a second
 * @param speeds tracked speed at the map's frames, Hz, one for all or one per motor
 * @returns ratio 1 where no order is clear enough
 */
export function recentre(map: LineMap, speeds: readonly Float64Array[]): Recentring {
  const widest = speeds.length > 1 ? WIDEST_OWN : WIDEST;
  const plateaus = ORDERS.map((order) => plateau(map, speeds, { order, widest })).filter((p) => p !== null);
  const total = plateaus.reduce((sum, p) => sum + p.weight, 0);
  if (total === 0) return { ratio: 1, halfSpread: 0 };
  const mean = (value: (p: Plateau) => number): number =>
    plateaus.reduce((sum, p) => sum + p.weight * value(p), 0) / total;
  return { ratio: mean((p) => p.middle), halfSpread: mean((p) => p.half) };
}

interface Plateau {
  readonly middle: number;
  readonly half: number;
  readonly weight: number;
}

/** Centroid of the ratios round the tracked speed at which one order stands; null when it is faint. */
function plateau(
  map: LineMap,
  speeds: readonly Float64Array[],
  { order, widest }: { order: number; widest: number },
): Plateau | null {
  const reach = Math.min(widest, HALF_ORDER / order);
  const middle = Math.round(reach / STEP);
  const level = Float64Array.from({ length: 2 * middle + 1 }, (_, i) =>
    meanLevel(map, speeds, order * (1 + (i - middle) * STEP)),
  );
  const floor = Math.min(...level);
  const height = Math.max(...level) - floor;
  if (height < FAINT) return null;
  const end = floor + Math.max(END, END_SHARE * height);
  const cap = Math.min(CAP, CAP_SHARE * height);
  let sum = 0;
  let moment = 0;
  let second = 0;
  for (let i = 0; i < level.length; i++) {
    if (level[i]! < end) continue;
    const w = Math.min(cap, level[i]! - floor);
    const r = (i - middle) * STEP;
    sum += w;
    moment += w * r;
    second += w * r * r;
  }
  const centre = moment / sum;
  const half = Math.sqrt(3 * Math.max(0, second / sum - centre * centre));
  // Higher orders see less far to the sides.
  return { middle: 1 + centre, half, weight: (Math.min(height, 3) * reach) / widest };
}
