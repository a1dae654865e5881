import type { FullScenario } from "./scenario.js";

/** The simulator's three clocks. Log sample i is physics sample i · every; tick k is physics sample k · block. */
export interface Clock {
  readonly logRate: number;
  /** Rate of the physics and of the controller's filter loop, Hz; a multiple of the log rate. */
  readonly physicsRate: number;
  readonly every: number;
  /** Physics samples between two ticks: what changes slowly is computed per tick, linear between. */
  readonly block: number;
  readonly tickRate: number;
  readonly logLength: number;
  readonly ticks: number;
  readonly airFromS: number;
  readonly airToS: number;
}

/**
 * Physics rate: at least four times the highest line in hover and 4 kHz, but no more than the first multiple of the
 * log rate above 10 kHz. Lines that come above 0.45 of it are left out.
 */
export function clockOf(s: FullScenario): Clock {
  const topOrder = Math.max(2, s.lines.bladePassDps.length * s.rotors.blades);
  const wanted = Math.min(Math.max(4 * topOrder * 1.3 * s.rotors.hoverHz, 4000, 2 * s.logRateHz), 10000);
  const every = Math.ceil(wanted / s.logRateHz);
  const physicsRate = every * s.logRateHz;
  const block = Math.max(1, Math.round(physicsRate / 500));
  const totalS = s.flight.restBeforeS + s.durationS + s.flight.restAfterS;
  const logLength = Math.round(totalS * s.logRateHz);
  return {
    logRate: s.logRateHz,
    physicsRate,
    every,
    block,
    tickRate: physicsRate / block,
    logLength,
    ticks: Math.ceil((logLength * every) / block) + 1,
    airFromS: s.flight.restBeforeS,
    airToS: s.flight.restBeforeS + s.durationS,
  };
}
