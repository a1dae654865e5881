import type { Hertz } from "../units.js";
import type { ModeShape } from "./fit-modes.js";
import { LEAST_SHARE } from "./mode-model.js";

/** Under this coherence the rigid body is lost in the sensor's noise, and the fit hardly tells it. */
const LEAST_COHERENCE = 0.35;

/**
 * Power with which modes and rigid body together answer a torque in rate, over that of the rigid body alone:
 * |1 + Σ g r² / (r² − 1 − 2iζr)|², r = f / f0. Far below a mode it takes no part, at its frequency it adds g / 2ζ, far
 * above it the craft turns lighter or heavier by g.
 *
 * A fit gives the peak A over a floor that is partly noise: its interference tanh t is the share of the floor's amplitude
 * that the mode's own force moves, so g = ±2ζ √A / |tanh t|, with the sign of t (which side of the mode is raised); |tanh t| counts as 0.35 at least.
 *
 * @param shapes modes as fitted on the axis, gain over the floor
 * @returns at least 0.02
 * @see Ewins, Modal Testing, ch. 2 (receptance as a sum over modes; from memory)
 * @example powerResponse([], 100) // 1
 */
export function powerResponse(shapes: readonly ModeShape[], hz: Hertz): number {
  let re = 1;
  let im = 0;
  for (const { frequencyHz, dampingRatio, gain, lean } of shapes) {
    const coherence = Math.tanh(lean);
    const sign = coherence < 0 ? -1 : 1;
    const size = (2 * dampingRatio * Math.sqrt(gain)) / Math.max(LEAST_COHERENCE, Math.abs(coherence));
    const r = hz / frequencyHz;
    const [a, b] = [r * r - 1, 2 * dampingRatio * r];
    const share = (sign * size * r * r) / (a * a + b * b);
    re += share * a;
    im += share * b;
  }
  return Math.max(LEAST_SHARE, re * re + im * im);
}
