import { AXES, type PerAxis, perAxis } from "../src/units.js";
import type { Clock } from "./clock.js";
import { type Random, randomStream } from "./random.js";
import type { FullScenario } from "./scenario.js";
import { slowNoise } from "./slow.js";

/** What moves the whole craft slowly, per tick: commanded rate, the craft's true slow rate, control effort. */
export interface Motion {
  /** deg/s */
  readonly setpoint: PerAxis<Float64Array>;
  /** Slow part of the true rate: response to the set-point plus gusts, deg/s. */
  readonly rate: PerAxis<Float64Array>;
  /** Output of the attitude controller, throttle units. */
  readonly effort: PerAxis<Float64Array>;
  /** Multiplier of the wash force, 1 in clean air. */
  readonly washGain: Float64Array;
}

const COMMAND_HZ = 0.8;
export const GUST_HZ = 1.5;
const LOOP_HZ = 7;
const EFFORT_HZ = 3;

/** Commanded motion, gusts and descents through the own wash; all at rest on the ground. */
export function motionSeries(s: FullScenario, clock: Clock): Motion {
  const gate = airGate(clock);
  const noise = (label: string, cutoffHz: number, rms: number): Float64Array => {
    const series = slowNoise(randomStream(s.seed, label), clock.ticks, { rate: clock.tickRate, cutoffHz });
    return series.map((v, k) => v * rms * gate[k]!);
  };
  const share = { roll: 1, pitch: 1, yaw: 0.5 };
  const setpoint = perAxis((axis) =>
    noise(`set-point ${axis}`, COMMAND_HZ, s.flight.motionDps * share[axis]),
  );
  const gust = perAxis((axis) => noise(`gust ${axis}`, GUST_HZ, s.flight.gustDps * share[axis]));
  const effort = perAxis((axis) =>
    noise(`effort ${axis}`, EFFORT_HZ, s.flight.controlActivity * share[axis]),
  );
  const rate = perAxis((axis) => followed(setpoint[axis], clock.tickRate));
  for (const axis of AXES)
    rate[axis].forEach((v, k) => {
      rate[axis][k] = v + gust[axis][k]!;
    });
  return { setpoint, rate, effort, washGain: washGain(s, clock, randomStream(s.seed, "wash bursts")) };
}

/** 0 on the ground, 1 in the air, a ramp of 1 s between. */
function airGate(clock: Clock): Float64Array {
  const gate = new Float64Array(clock.ticks);
  for (let k = 0; k < clock.ticks; k++) {
    const t = k / clock.tickRate;
    gate[k] = Math.min(1, Math.max(0, Math.min(t - clock.airFromS + 1e-9, clock.airToS - t)));
    if (clock.airFromS === 0 && t < 1) gate[k] = 1;
  }
  return gate;
}

/** The rate loop's answer to a command: second order, damping ratio 0.7. */
function followed(command: Float64Array, tickRate: number): Float64Array {
  const out = new Float64Array(command.length);
  const w = 2 * Math.PI * LOOP_HZ;
  let rate = 0;
  let acceleration = 0;
  for (let k = 0; k < command.length; k++) {
    acceleration += (w * w * (command[k]! - rate) - 1.4 * w * acceleration) / tickRate;
    rate += acceleration / tickRate;
    out[k] = rate;
  }
  return out;
}

/** Bursts of 0.5 to 2.5 s with raised-cosine edges. */
function washGain(s: FullScenario, clock: Clock, random: Random): Float64Array {
  const gain = new Float64Array(clock.ticks).fill(1);
  const bursts = Math.round((s.flight.burstsPerMinute * s.durationS) / 60);
  for (let b = 0; b < bursts; b++) {
    const from = clock.airFromS + random.between(2, Math.max(2.1, s.durationS - 4));
    const length = random.between(0.5, 2.5);
    const peak = 1 + (s.flight.burstGain - 1) * random.between(0.5, 1.2);
    const first = Math.round(from * clock.tickRate);
    const last = Math.min(clock.ticks, Math.round((from + length) * clock.tickRate));
    for (let k = first; k < last; k++) {
      const swell = Math.sin((Math.PI * (k - first)) / (last - first)) ** 2;
      gain[k] = Math.max(gain[k]!, 1 + (peak - 1) * swell);
    }
  }
  return gain;
}
