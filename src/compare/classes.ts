import type { FlownClass } from "./fingerprint.js";

/**
 * Classes a doubling: six for levels between the lines; 24 (3 % each) for the lines, which a resonance may lift; 12
 * for single motors, of which each turns at a speed of its own.
 */
export const LEVEL_CLASSES = 6;
export const LINE_CLASSES = 24;
export const MOTOR_CLASSES = 12;
/** Fewer frames than this make no class of levels. */
const LEAST_FRAMES = 2;

/** Frames sorted into the classes of one scale, none of which overlap. */
export interface ClassedFrames {
  readonly classes: readonly FlownClass[];
  /** Position in `classes` of every frame; -1 where it is in none. */
  readonly of: Int16Array;
}

/**
 * Sorts frames by a positive quantity on two scales: classes `2^(i/2n) … 2^(i/2n + 1/n)` with even i, and again with
 * odd i, half a class further, so that two flights at nearly one speed always meet in a class of one of them. A
 * comparison uses one scale only. Classes are the same for every log.
 *
 * @param values one a frame; NaN: in no class
 * @param perDoubling n, classes a doubling; 0 puts every frame that has a finite value into one class of one scale
 * @param options seconds that one frame adds; fewest frames that make a class (default 2)
 * @example classify(Float64Array.of(1, 1, 1, 1), 6, { secondsPerFrame: 0.25 })[0].classes[0]
 * // { index: 0, from: 1, to: 1.122, seconds: 1 }
 */
export function classify(
  values: Float64Array,
  perDoubling: number,
  { secondsPerFrame, least = LEAST_FRAMES }: { readonly secondsPerFrame: number; readonly least?: number },
): ClassedFrames[] {
  const scales = perDoubling === 0 ? [0] : [0, 1];
  return scales.map((odd) => {
    const index = Array.from(values, (v) => indexOf(v, perDoubling, odd));
    const count = new Map<number, number>();
    for (const i of index) if (i !== null) count.set(i, (count.get(i) ?? 0) + 1);
    const kept = [...count].filter(([, n]) => n >= least).sort(([a], [b]) => a - b);
    const classes = kept.map(([i, n]): FlownClass => {
      const [from, to] =
        perDoubling === 0 ? [0, 1] : [2 ** (i / (2 * perDoubling)), 2 ** ((i + 2) / (2 * perDoubling))];
      return { index: i, from, to, seconds: n * secondsPerFrame };
    });
    const position = new Map(kept.map(([i], at) => [i, at]));
    return { classes, of: Int16Array.from(index, (i) => (i === null ? -1 : (position.get(i) ?? -1))) };
  });
}

/** Number of the class on one scale; null for what is not known. */
function indexOf(value: number, perDoubling: number, odd: number): number | null {
  if (perDoubling === 0) return Number.isNaN(value) ? null : 0;
  return value > 0 ? 2 * Math.floor(Math.log2(value) * perDoubling - odd / 2) + odd : null;
}

/** The classes of all scales, one after the other. */
export function allClasses(scales: readonly ClassedFrames[]): FlownClass[] {
  return scales.flatMap((scale) => scale.classes);
}

/** Middle of a class on its logarithmic scale. */
export function middleOf({ from, to }: FlownClass): number {
  return from > 0 ? Math.sqrt(from * to) : (from + to) / 2;
}
