import type { AxisMode } from "./axis-mode.js";

/** Limits of what may be called a mode; each is a default measured on simulated flights, none is a fact of nature. */
export const LIMITS = {
  leastProminenceDb: 4.5,
  /** Fall of the clipped squares for one mode's four parameters. */
  leastDrop: 30,
  leastDamping: 0.0022,
  mostDamping: 0.06,
  /** Below this frequency damping up to `mostLowDamping` is believed (payload mounts, loops). */
  lowHz: 40,
  mostLowDamping: 0.11,
  mostSdLogDamping: 0.8,
};

/** The reason given for a peak that no structure is light enough for. */
export const TOO_NARROW = "too narrow";

/** The reason given for a peak that some speeds do not show. */
export const COMES_AND_GOES = "not there at every speed";

/**
 * Why a fitted mode is not believed, or null when it is.
 *
 * @param lineFreeHz below this a peak may move: nothing that turns leaves a line there
 */
export function refusal(mode: AxisMode, lineFreeHz: number): string | null {
  const most = mode.frequencyHz < LIMITS.lowHz ? LIMITS.mostLowDamping : LIMITS.mostDamping;
  if (mode.prominenceDb < LIMITS.leastProminenceDb) return "too faint";
  if (mode.drop < LIMITS.leastDrop) return "not significant";
  if (mode.dampingRatio < LIMITS.leastDamping) return TOO_NARROW;
  if (mode.dampingRatio > most) return "too wide";
  if (mode.sdHz > 0.012 * mode.frequencyHz + 0.3) return "frequency unsure";
  if (mode.sdLogDamping > LIMITS.mostSdLogDamping) return "damping unsure";
  if (mode.frequencyHz < lineFreeHz) return null;
  if (mode.persistence.against > 0 && mode.persistence.inFavour < 2) return COMES_AND_GOES;
  return null;
}

/** Distance below which two peaks on one axis are one mode, Hz. */
export function sameModeHz(a: { frequencyHz: number; dampingRatio: number }, b: typeof a): number {
  return Math.max(2.5, a.dampingRatio * a.frequencyHz + b.dampingRatio * b.frequencyHz);
}
