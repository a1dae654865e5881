/**
 * What a frame of flight shows: calm flight, a throttle chop, wash (a descent through the craft's own downwash) or
 * a gust.
 */
export type FrameKind = "calm" | "chop" | "wash" | "gust";

export interface FrameFacts {
  /** Low-frequency power of the gyro per frame, (deg/s)². */
  readonly shaken: Float64Array;
  /** Mean throttle per frame, 0..1; NaN where unknown. */
  readonly throttle: Float64Array;
  /** Largest less smallest throttle within the frame. */
  readonly throttleMove: Float64Array;
}

/** A throttle move within one frame that no sweep makes (a slow sweep moves 0.05 a second). */
const CHOP = 0.15;
/** Shaken this many times over the flight's median power … */
const SHAKEN_TIMES = 4;
/** … and this many robust standard deviations above its median level, in the logarithm. */
const SHAKEN_DEVIATIONS = 3;
/** Throttle under this share of the median while shaken: a descent. */
const DESCENT_SHARE = 0.85;

/**
 * Tells the kinds apart. The decision looks at the throttle and at frequencies below all structures and rotors only,
 * so that what is to be measured never decides whether it is measured.
 *
 * Thresholds: method note, measured on simulated flights.
 *
 * @returns one kind a frame; the frames beside a chop or a shaken frame go with it
 */
export function kindsOfFlight(facts: FrameFacts): FrameKind[] {
  const level = Array.from(facts.shaken, (power) => Math.log(power + 1e-12));
  const centre = median(level);
  const spread = 1.4826 * median(level.map((l) => Math.abs(l - centre)));
  const limit = centre + Math.max(Math.log(SHAKEN_TIMES), SHAKEN_DEVIATIONS * spread);
  const usual = median(Array.from(facts.throttle).filter((u) => !Number.isNaN(u)));
  const chopped = (k: number): boolean => [k - 1, k, k + 1].some((i) => (facts.throttleMove[i] ?? 0) > CHOP);
  const shaken = (k: number): boolean => [k - 1, k, k + 1].some((i) => (level[i] ?? -Infinity) > limit);
  return level.map((_, k) => {
    if (chopped(k)) return "chop";
    if (!shaken(k)) return "calm";
    return facts.throttle[k]! < DESCENT_SHARE * usual ? "wash" : "gust";
  });
}

/** Middle value; NaN of nothing. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length / 2;
  if (sorted.length === 0) return Number.NaN;
  return sorted.length % 2 === 1 ? sorted[Math.floor(half)]! : (sorted[half - 1]! + sorted[half]!) / 2;
}
