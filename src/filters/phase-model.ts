import { chainDelayMs } from "./dc-delay.js";
import type { PhaseModel } from "./delay-fit.js";
import { lagDeg } from "./delay-meter.js";
import type { IdentifiedPath } from "./identify.js";

/** Bins that share lines, and filters that no plain one copies: errors were this much wider than chance on simulated flights. */
export const WIDER_THAN_CHANCE = 1.4;

/**
 * Delay and lag of an identified path beyond an ideal derivative, where it takes one: the difference of two samples is
 * half a step late.
 */
export function phaseModel({ path, delaySdS }: IdentifiedPath): PhaseModel {
  const { sections, loopRate, derivative } = path;
  const half = derivative ? 0.5 / loopRate : 0;
  return {
    delayS: chainDelayMs(sections, loopRate) / 1000 + half,
    delaySdS: WIDER_THAN_CHANCE * delaySdS,
    lagRad: (hz) => (lagDeg(sections, hz, loopRate) * Math.PI) / 180 + 2 * Math.PI * hz * half,
  };
}
