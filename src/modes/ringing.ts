import { quantile } from "../stats/quantile.js";
import { LIMITS } from "./accept.js";
import type { AxisMode } from "./axis-mode.js";
import type { ResolutionBank } from "./resolution-bank.js";

/** Only what stands this clear is looked at, dB: fainter narrow peaks are tones that noise hides from the tones' search. */
const LEAST_PROMINENCE_DB = 15;
const FEWEST_FRAMES = 12;
/**
 * Interquartile range of ln power over the core's three bins: 0.3 for a tone this clear, 1.0 to 1.3 for a mode in steady
 * noise, more for one that throttle steps set ringing. Strict: what is refused here is left out, not misnamed.
 */
const LEAST_IQR = 1.2;
/** Deviation of ln damping that a fit to a few rings leaves. */
const RING_SD_LOG = 0.35;

/** ln power of a peak's core in every frame in which all of it is free. */
function corePowers({ base }: ResolutionBank, mode: AxisMode): Float64Array {
  const { plane } = base;
  const { bins, starts, sampleRate, segmentLength } = plane.grid;
  const { power } = plane.axes[mode.axis]!;
  const centre = Math.round((mode.frequencyHz * segmentLength) / sampleRate);
  const core = [centre - 1, centre, centre + 1];
  return Float64Array.from(starts, (_, k) => {
    const cells = core.map((b) => k * bins + b);
    if (cells.some((c) => plane.mask[c] !== 0)) return Number.NaN;
    return Math.log(cells.reduce((sum, c) => sum + power[c]!, 0));
  }).filter(Number.isFinite);
}

/**
 * A light mode that a few throttle steps set ringing: in the long frames that its width asks for, two rings interfere
 * and the peak looks narrower than any structure. Unlike a tone it comes and goes in strength, and unlike a line it is
 * there at two speeds or more.
 *
 * @returns the mode with the deviation of its damping widened to reach what a structure has; null when it is no such thing
 */
export function ringingMode(mode: AxisMode, bank: ResolutionBank): AxisMode | null {
  const { persistence, dampingRatio } = mode;
  if (mode.prominenceDb < LEAST_PROMINENCE_DB || persistence.inFavour < 2 || persistence.against > 0)
    return null;
  const powers = corePowers(bank, mode);
  if (powers.length < FEWEST_FRAMES) return null;
  if (quantile(powers, 0.75) - quantile(powers, 0.25) < LEAST_IQR) return null;
  const short = Math.max(0, Math.log(LIMITS.leastDamping / dampingRatio));
  return { ...mode, sdLogDamping: Math.hypot(mode.sdLogDamping, short + RING_SD_LOG) };
}
