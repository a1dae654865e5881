import { AXES, type Axis, type PerAxis, perAxis } from "../src/units.js";
import type { Clock } from "./clock.js";
import { filterInPlace, section } from "./filters.js";
import { randomStream } from "./random.js";
import type { FullScenario } from "./scenario.js";
import { atTick } from "./telemetry.js";

/** What the controller sees and computes, at loop rate. */
export interface LoopSignals {
  readonly raw: PerAxis<Float64Array>;
  readonly filtered: PerAxis<Float64Array>;
  readonly dterm: PerAxis<Float64Array>;
}

/** Adds slow motion, tones and sensor noise to the vibration (in place), then runs the filter chain. */
export function senseAndFilter(
  s: FullScenario,
  clock: Clock,
  input: { vibration: PerAxis<Float64Array>; motion: PerAxis<Float64Array> },
): LoopSignals {
  for (const axis of AXES) {
    addMotion(input.vibration[axis], input.motion[axis], clock.block);
    addTones(input.vibration[axis], { s, clock, axis });
    addNoise(input.vibration[axis], { s, clock, axis });
  }
  const raw = input.vibration;
  const filtered = perAxis((axis) => filteredBy(raw[axis], s.chain.gyro, clock.physicsRate));
  const dterm = perAxis((axis) => dtermOf(filtered[axis], s, clock.physicsRate));
  return { raw, filtered, dterm };
}

function addMotion(x: Float64Array, motion: Float64Array, block: number): void {
  for (let i = 0; i < x.length; i++) x[i]! += atTick(motion, i / block);
}

function addTones(x: Float64Array, o: { s: FullScenario; clock: Clock; axis: Axis }): void {
  const random = randomStream(o.s.seed, `tones ${o.axis}`);
  for (const tone of o.s.tones) {
    const start = random.between(0, 2 * Math.PI);
    const amplitude = tone.amplitudeDps[o.axis];
    if (amplitude === undefined) continue;
    const drift = tone.driftHzPerS ?? 0;
    for (let i = 0; i < x.length; i++) {
      const t = i / o.clock.physicsRate;
      x[i]! += amplitude * Math.cos(start + 2 * Math.PI * t * (tone.frequencyHz + 0.5 * drift * t));
    }
  }
}

function addNoise(x: Float64Array, o: { s: FullScenario; clock: Clock; axis: Axis }): void {
  const random = randomStream(o.s.seed, `sensor ${o.axis}`);
  const sigma = o.s.sensor.density * Math.sqrt(o.clock.physicsRate / 2);
  const clip = o.s.sensor.clipDps;
  for (let i = 0; i < x.length; i++) {
    x[i] = Math.min(clip, Math.max(-clip, x[i]! + sigma * random.normal()));
  }
}

function filteredBy(x: Float64Array, specs: FullScenario["chain"]["gyro"], rate: number): Float64Array {
  const out = x.slice();
  for (const spec of specs) filterInPlace(out, section(spec, rate));
  return out;
}

/** D = -kd · d(filtered gyro)/dt by the difference of two samples, then the D-term's own filters. */
function dtermOf(filtered: Float64Array, s: FullScenario, rate: number): Float64Array {
  const out = new Float64Array(filtered.length);
  const scale = -s.chain.kd * rate;
  for (let i = 1; i < out.length; i++) out[i] = scale * (filtered[i]! - filtered[i - 1]!);
  for (const spec of s.chain.dterm) filterInPlace(out, section(spec, rate));
  return out;
}
