import type { FullScenario } from "./scenario.js";

/** Where a motor sits (arm length 1) and which way it turns. */
export interface MotorPlace {
  /** Forward, right. */
  readonly x: number;
  readonly y: number;
  /** +1 or -1. */
  readonly turn: number;
  /** Relative speed of its place: 1, or the coaxial ratio for the lower rotor of a pair. */
  readonly ratio: number;
}

/** Yaw inertia over roll inertia: the craft is flat. */
export const YAW_INERTIA = 1.8;

/** Motors evenly round the circle, the first half a step right of the nose; coaxial pairs share a place. */
export function motorPlaces(rotors: FullScenario["rotors"]): MotorPlace[] {
  const arms = rotors.coaxial ? rotors.count / 2 : rotors.count;
  return Array.from({ length: rotors.count }, (_, m) => {
    const arm = rotors.coaxial ? m >> 1 : m;
    const angle = (2 * Math.PI * (arm + 0.5)) / arms;
    const lower = rotors.coaxial && m % 2 === 1;
    return {
      x: Math.cos(angle),
      y: Math.sin(angle),
      turn: (arm + (lower ? 1 : 0)) % 2 === 0 ? 1 : -1,
      ratio: lower ? rotors.coaxialRatio : 1,
    };
  });
}
