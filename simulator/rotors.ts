import type { Clock } from "./clock.js";
import { type MotorPlace, YAW_INERTIA } from "./geometry.js";
import type { Motion } from "./motion.js";
import { type Random, randomStream } from "./random.js";
import type { FullScenario } from "./scenario.js";

/** Commands and speeds of all motors, per tick. */
export interface RotorRun {
  /** 0..1 */
  readonly command: readonly Float64Array[];
  /** Mechanical rotor frequency, Hz. */
  readonly hz: readonly Float64Array[];
  /** V */
  readonly voltage: Float64Array;
}

/** Motors' commands from throttle and control effort, their speeds by curve, sag and first-order lag. */
export function runRotors(s: FullScenario, clock: Clock, input: RotorInput): RotorRun {
  const voltage = batteryVoltage(s, input.throttle);
  const random = randomStream(s.craftSeed, "motor spread");
  const command: Float64Array[] = [];
  const hz: Float64Array[] = [];
  for (const place of input.places) {
    const own = motorCommand(s, input, { place, trim: s.rotors.trim * random.normal() });
    command.push(own);
    hz.push(motorSpeed(s, clock, { command: own, voltage, factor: motorFactor(s, place, random) }));
  }
  return { command, hz, voltage };
}

export interface RotorInput {
  readonly places: readonly MotorPlace[];
  readonly throttle: Float64Array;
  readonly motion: Motion;
}

function motorFactor(s: FullScenario, place: MotorPlace, random: Random): number {
  return place.ratio * (1 + s.rotors.spread * Math.max(-2.5, Math.min(2.5, random.normal())));
}

function motorCommand(
  s: FullScenario,
  input: RotorInput,
  motor: { place: MotorPlace; trim: number },
): Float64Array {
  const { x, y, turn } = motor.place;
  const { roll, pitch, yaw } = input.motion.effort;
  return input.throttle.map((u, k) => {
    if (u === 0) return 0;
    const mixed = -y * roll[k]! + x * pitch[k]! + (turn * yaw[k]!) / YAW_INERTIA;
    return Math.min(1, Math.max(0.04, u * (1 + motor.trim / s.rotors.hoverThrottle) + mixed));
  });
}

/** 4.15 V a cell when full, falling with the charge used and with the current (∝ command²). */
function batteryVoltage(s: FullScenario, throttle: Float64Array): Float64Array {
  const full = 4.15 * s.rotors.cells;
  const total = throttle.reduce((sum, u) => sum + u, 0) || 1;
  let used = 0;
  return throttle.map((u) => {
    used += u / total;
    return full * (1 - s.rotors.sag * used - 0.3 * s.rotors.sag * u * u);
  });
}

/** Steady speed: hover speed · (u / hover)^exponent, less at full load, ∝ voltage^0.6. */
export function steadyHz(s: FullScenario, command: number, voltageShare: number): number {
  if (command <= 0) return 0;
  const r = s.rotors;
  const load = 1 - (r.saturation * Math.max(0, command - r.hoverThrottle)) / (1 - r.hoverThrottle);
  return r.hoverHz * (command / r.hoverThrottle) ** r.exponent * load * voltageShare ** 0.6;
}

function motorSpeed(
  s: FullScenario,
  clock: Clock,
  motor: { command: Float64Array; voltage: Float64Array; factor: number },
): Float64Array {
  const keep = Math.exp(-1 / (clock.tickRate * s.rotors.lagS));
  const full = 4.15 * s.rotors.cells;
  const out = new Float64Array(motor.command.length);
  const target = (k: number): number =>
    motor.factor * steadyHz(s, motor.command[k]!, motor.voltage[k]! / full);
  let hz = s.flight.restBeforeS > 0 ? 0 : target(0);
  for (let k = 0; k < out.length; k++) {
    const steady = target(k);
    hz = steady + keep * (hz - steady);
    out[k] = hz < 0.5 ? 0 : hz;
  }
  return out;
}
