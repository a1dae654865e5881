import type { Hertz } from "../units.js";
import { type Chain, type FilterStep, type FlightState, sectionsOf } from "./chain.js";
import { chainDelayMs } from "./dc-delay.js";
import type { LevelExcitation } from "./excitation.js";
import { response } from "./response.js";
import type { Section } from "./section.js";

/** Delay and phase of chains in one state of the flight. */
export class DelayMeter {
  private readonly known = new WeakMap<FilterStep, number>();
  private readonly state: FlightState;
  private readonly loopRate: Hertz;

  constructor(state: FlightState, loopRate: Hertz) {
    this.state = state;
    this.loopRate = loopRate;
  }

  gyroDelayMs({ gyro }: Chain): number {
    return gyro.reduce((total, step) => total + this.stepMs(step), 0);
  }

  /** With half a step of the loop for the difference that makes the derivative. */
  delayMs(chain: Chain): number {
    return (
      this.gyroDelayMs(chain) +
      chain.dterm.reduce((total, step) => total + this.stepMs(step), 0) +
      500 / this.loopRate
    );
  }

  gyroPhaseDeg({ gyro }: Chain, hz: Hertz): number {
    return lagDeg(sectionsOf(gyro, this.state, this.loopRate), hz, this.loopRate);
  }

  phaseDeg(chain: Chain, hz: Hertz): number {
    const after = lagDeg(sectionsOf(chain.dterm, this.state, this.loopRate), hz, this.loopRate);
    return this.gyroPhaseDeg(chain, hz) + after + (180 * hz) / this.loopRate;
  }

  private stepMs(step: FilterStep): number {
    let ms = this.known.get(step);
    if (ms === undefined) {
      ms = chainDelayMs(sectionsOf([step], this.state, this.loopRate), this.loopRate);
      this.known.set(step, ms);
    }
    return ms;
  }
}

/**
 * Phase lag of a chain at a frequency, section by section, so that it is not wrapped.
 *
 * @returns degrees, positive where the output is late
 * @example lagDeg([lowPass2(80, 4000)], 80, 4000) // 90
 */
export function lagDeg(sections: readonly Section[], hz: Hertz, rate: Hertz): number {
  return sections.reduce((total, section) => {
    const { re, im } = response([section], hz, rate);
    return total - (Math.atan2(im, re) * 180) / Math.PI;
  }, 0);
}

/** The level's throttle, and each motor's mean speed in it. */
export function typicalState({ level, states }: LevelExcitation): FlightState {
  const motors = states[0]?.rotorHz.length ?? 0;
  const rotorHz = Array.from({ length: motors }, (_, m) => {
    const seen = states.map((state) => state.rotorHz[m]!).filter((hz) => !Number.isNaN(hz));
    return seen.reduce((total, hz) => total + hz, 0) / seen.length;
  }).filter((hz) => !Number.isNaN(hz));
  return { throttle: level.throttle, rotorHz };
}
