import { type Axis, type PerAxis, perAxis } from "../src/units.js";
import type { Clock } from "./clock.js";
import type { MotorPlace } from "./geometry.js";
import type { Motion } from "./motion.js";
import { randomStream } from "./random.js";
import type { RotorRun } from "./rotors.js";
import type { FullScenario } from "./scenario.js";
import type { LoopSignals } from "./sensor.js";
import { atTick, telemetryRows } from "./telemetry.js";

/** Every signal at the log rate, all rows, quantised as logged, in the log's units. */
export interface LoggedSignals {
  readonly gyroRaw: PerAxis<Float32Array>;
  readonly gyroFiltered: PerAxis<Float32Array>;
  readonly dterm: PerAxis<Float32Array>;
  readonly setpoint: PerAxis<Float32Array>;
  /** 0..1 */
  readonly throttle: Float32Array;
  readonly motors: readonly Float32Array[];
  /** V */
  readonly voltage: Float32Array;
  /** m/s² */
  readonly accel: PerAxis<Float32Array>;
  /** Per motor, in the report's own unit; empty without telemetry. */
  readonly speed: readonly Float64Array[];
}

export interface FlightRun {
  readonly s: FullScenario;
  readonly clock: Clock;
  readonly places: readonly MotorPlace[];
  readonly throttle: Float64Array;
  readonly motion: Motion;
  readonly rotors: RotorRun;
  readonly loop: LoopSignals;
  readonly referenceHz: number;
}

const THROTTLE_STEP = 0.001;

/** Picks every n-th loop sample, with no filter before: what lies above the log's Nyquist folds. */
export function logSignals(run: FlightRun): LoggedSignals {
  const { s, clock, loop, motion } = run;
  const quantum = s.sensor.quantumDps;
  const dterm = perAxis((axis) => pick(loop.dterm[axis], clock, 0.1));
  return {
    gyroRaw: perAxis((axis) => pick(loop.raw[axis], clock, quantum)),
    gyroFiltered: perAxis((axis) => pick(loop.filtered[axis], clock, quantum)),
    dterm,
    setpoint: perAxis((axis) => fromTicks(motion.setpoint[axis], clock, 0.1)),
    throttle: fromTicks(run.throttle, clock, THROTTLE_STEP),
    motors: run.rotors.command.map((_, m) => motorRow(run, m, dterm)),
    voltage: fromTicks(run.rotors.voltage, clock, 0.01),
    accel: accelRows(run),
    speed: s.telemetry ? telemetryRows(s, s.telemetry, { clock, hz: run.rotors.hz }) : [],
  };
}

/** Rounds to a step; 0 leaves the value alone. */
export function quantise(value: number, step: number): number {
  return step > 0 ? Math.round(value / step) * step : value;
}

function pick(x: Float64Array, clock: Clock, step: number): Float32Array {
  const out = new Float32Array(clock.logLength);
  for (let i = 0; i < out.length; i++) out[i] = quantise(x[i * clock.every]!, step);
  return out;
}

function fromTicks(x: Float64Array, clock: Clock, step: number): Float32Array {
  const out = new Float32Array(clock.logLength);
  const per = clock.tickRate / clock.logRate;
  for (let i = 0; i < out.length; i++) out[i] = quantise(atTick(x, i * per), step);
  return out;
}

/** Logged command: what the speed follows, plus the D-term's share, too fast for the motor to follow. */
function motorRow(run: FlightRun, m: number, dterm: PerAxis<Float32Array>): Float32Array {
  const { x, y } = run.places[m]!;
  const own = fromTicks(run.rotors.command[m]!, run.clock, 0);
  for (let i = 0; i < own.length; i++) {
    if (own[i] === 0) continue;
    const share = (-y * dterm.roll[i]! + x * dterm.pitch[i]!) / run.s.chain.motorRange;
    own[i] = quantise(Math.min(1, Math.max(0, own[i]! + share)), THROTTLE_STEP);
  }
  return own;
}

const GRAVITY = 9.80665;

/** Body acceleration: thrust along z (negative up), a trace of the roll and pitch rates, sensor noise. */
function accelRows(run: FlightRun): PerAxis<Float32Array> {
  const { s, clock, loop, rotors, referenceHz } = run;
  const random = randomStream(s.seed, "accelerometer");
  const thrust = fromTicks(
    rotors.hz[0]!.map(
      (_, k) => rotors.hz.reduce((sum, hz) => sum + (hz[k]! / referenceHz) ** 2, 0) / s.rotors.count,
    ),
    clock,
    0,
  );
  const along = (axis: Axis, i: number): number =>
    axis === "yaw" ? -GRAVITY * (thrust[i]! > 0.1 ? thrust[i]! : 1) : 0.05 * loop.raw[axis][i * clock.every]!;
  return perAxis((axis) => {
    const out = new Float32Array(clock.logLength);
    for (let i = 0; i < out.length; i++) out[i] = quantise(along(axis, i) + 0.2 * random.normal(), 0.01);
    return out;
  });
}
