import { refusal, sameModeHz } from "./accept.js";
import type { AxisMode } from "./axis-mode.js";
import type { ScannedAxis } from "./first-look.js";
import { type Follow, fitSeed } from "./fit-seed.js";
import { closeTogether, type MergedMode } from "./merge.js";

/** What is known when an axis is asked for a mode that others show. */
export interface KnownModes {
  /** Modes of this axis. */
  readonly own: readonly AxisMode[];
  /** The mode's drift, where it must be followed. */
  readonly follow: Follow;
}

/**
 * A structure moves on more than one axis: looks on an axis for a mode that another one shows. The search over a whole
 * axis misses it where a neighbour stands in front of it; here its place and width are known beforehand, and only its
 * height is asked for. What is found must stand the same tests as any other peak.
 *
 * @returns null when the axis does not show the mode
 */
export function modeOnAxis(
  axis: ScannedAxis,
  mode: MergedMode,
  { own, follow }: KnownModes,
): AxisMode | null {
  const { frequencyHz, dampingRatio, sdHz, sdLogDamping } = mode;
  const [strongest] = mode.seen;
  const seed = { frequencyHz, dampingRatio, sdHz, sdLogDamping, gain: 1, searchP: strongest!.searchP };
  const found = fitSeed(axis, seed, own, follow);
  if (found === null || refusal(found, axis.lineFreeHz) !== null || !closeTogether(found, mode)) return null;
  const apart = own.every((m) => Math.abs(m.frequencyHz - found.frequencyHz) > sameModeHz(m, found));
  return apart ? found : null;
}
