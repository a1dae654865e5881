import type { Mode } from "../modes/mode.js";

/** Frequencies that differ by more are never one mode. */
const FARTHEST = 0.12;
/** A factor of this in damping costs as much as 5 % in frequency. */
const DAMPING_FACTOR = 2;
const FREQUENCY_STEP = 0.05;
/** Cost of having no axis in common. */
const OTHER_AXES = 1.5;
/** Pairs that cost more are two modes. */
const DEAREST = 2.5;

export interface ModePairs {
  readonly pairs: readonly (readonly [before: Mode, after: Mode])[];
  readonly before: readonly Mode[];
  readonly after: readonly Mode[];
}

/**
 * Which mode of one flight is which of the other: the cheapest pairs first, by distance in frequency, axes in common
 * and damping. Payload sway, loop oscillation and structure never pair with each other.
 *
 * @returns pairs by rising frequency, and the modes left alone on either side
 */
export function pairModes(before: readonly Mode[], after: readonly Mode[]): ModePairs {
  const offers = before.flatMap((a) => after.map((b) => ({ a, b, cost: costOf(a, b) })));
  const taken = new Set<Mode>();
  const pairs: [Mode, Mode][] = [];
  for (const { a, b, cost } of offers.sort((x, y) => x.cost - y.cost)) {
    if (cost > DEAREST || taken.has(a) || taken.has(b)) continue;
    taken.add(a);
    taken.add(b);
    pairs.push([a, b]);
  }
  return {
    pairs: pairs.sort((x, y) => x[0].frequencyHz - y[0].frequencyHz),
    before: before.filter((mode) => !taken.has(mode)),
    after: after.filter((mode) => !taken.has(mode)),
  };
}

function costOf(a: Mode, b: Mode): number {
  const apart = Math.abs(Math.log(b.frequencyHz / a.frequencyHz));
  if (apart > FARTHEST || !kindsAgree(a, b)) return Number.POSITIVE_INFINITY;
  const damping = Math.abs(Math.log(b.dampingRatio / a.dampingRatio)) / Math.log(DAMPING_FACTOR);
  const common = a.axes.some(({ axis }) => b.axes.some((other) => other.axis === axis));
  return apart / FREQUENCY_STEP + 0.5 * damping + (common ? 0 : OTHER_AXES);
}

function kindsAgree(a: Mode, b: Mode): boolean {
  return a.kind === b.kind || a.kind === "unresolved" || b.kind === "unresolved";
}
