import type { Scenario } from "../../simulator/scenario.js";
import { type SimulatedFlight, simulateFlight } from "../../simulator/simulate.js";
import { type Chain, type FlightState, sectionsOf } from "../../src/filters/chain.js";
import { runningSection } from "../../src/filters/run-section.js";
import type { RotorEstimate } from "../../src/rotor/rotor.js";
import { welch } from "../../src/spectra/welch.js";
import type { Timeline } from "../../src/timeline/timeline.js";
import { type Axis, perAxis } from "../../src/units.js";

/** A flight known at the controller's loop rate, and what a slower log keeps of it. */
export interface LoopFlight {
  /** Every sample of the loop. */
  readonly loop: SimulatedFlight;
  /** Every n-th sample, no filter before: what was logged. */
  readonly log: Timeline;
  readonly thin: number;
}

/** Simulates at loop rate (`logRateHz` of the scenario), then logs every `thin`-th sample. */
export function loopFlight(scenario: Scenario, thin: number): LoopFlight {
  const loop = simulateFlight(scenario);
  return { loop, log: thinned(loop.timeline, thin), thin };
}

function thinned(timeline: Timeline, thin: number): Timeline {
  const length = Math.floor(timeline.length / thin);
  const pick = (x: Float32Array): Float32Array => Float32Array.from({ length }, (_, i) => x[i * thin]!);
  const pickOr = (x: Float32Array | null): Float32Array | null => (x === null ? null : pick(x));
  const set = (s: Timeline["gyroRaw"]): Timeline["gyroRaw"] => perAxis((axis) => pickOr(s[axis]));
  const span = (s: { from: number; to: number }) => ({
    from: Math.ceil(s.from / thin),
    to: Math.min(length, Math.floor(s.to / thin)),
  });
  return {
    ...timeline,
    sampleRate: timeline.sampleRate / thin,
    length,
    valid: Uint8Array.from({ length }, (_, i) => timeline.valid[i * thin]!),
    gyroRaw: set(timeline.gyroRaw),
    gyroFiltered: set(timeline.gyroFiltered),
    dterm: set(timeline.dterm),
    setpoint: set(timeline.setpoint),
    accel: set(timeline.accel),
    throttle: pickOr(timeline.throttle),
    motors: timeline.motors.map(pick),
    voltage: pickOr(timeline.voltage),
    rotorSpeed: timeline.rotorSpeed.map((r) => ({ ...r, hz: pick(r.hz) })),
    airborne: timeline.airborne.map(span),
    resting: timeline.resting.map(span),
  };
}

/** The rotors as they truly are, in the shape in which the study wants them. */
export function trueRotor({ loop, log, thin }: LoopFlight): RotorEstimate {
  const { rotor } = loop.truth;
  return {
    source: "telemetry",
    confidence: 1,
    medianHz: rotor.medianHz,
    bandHz: rotor.bandHz,
    curve: [],
    polePairs: 1,
    polePairsHow: "data",
    blades: rotor.blades,
    bladesHow: "data",
    delayS: 0,
    delayCi95S: null,
    worstMotor: null,
    motors: [],
    referenceHz: rotor.medianHz,
    orders: rotor.orders.map((o) => ({
      order: o.order,
      levelDb: Math.max(o.levelDb.roll, o.levelDb.pitch, o.levelDb.yaw),
      foldedShare: o.medianHz > log.sampleRate / 2 ? 1 : 0,
      medianHz: o.medianHz,
      halfWidth: 0.02,
    })),
    tracks: rotor.tracks.map((track, m) => ({
      motor: m + 1,
      hz: Float32Array.from({ length: log.length }, (_, i) => track[i * thin]!),
    })),
    hover: false,
    doubts: [],
  };
}

/** RMS above `fromHz` of gyro and D-term (gain 1) when the loop's own samples really go through a chain. */
export function reallyFilter(
  { loop }: LoopFlight,
  chain: Chain,
  { axis, fromHz }: { readonly axis: Axis; readonly fromHz: number },
): { readonly gyroRms: number; readonly dtermRms: number } {
  const { timeline, truth } = loop;
  const rate = timeline.sampleRate;
  const raw = timeline.gyroRaw[axis]!;
  const gyro = new Float64Array(raw.length);
  const dterm = new Float64Array(raw.length);
  const stateAt = (i: number): FlightState => ({
    throttle: timeline.throttle![i]!,
    rotorHz: truth.rotor.tracks.map((track) => track[i]!),
  });
  const first = sectionsOf(chain.gyro, stateAt(0), rate).map(runningSection);
  const second = sectionsOf(chain.dterm, stateAt(0), rate).map(runningSection);
  let before = 0;
  for (let i = 0; i < raw.length; i++) {
    if (i % 4 === 0) {
      const state = stateAt(i);
      sectionsOf(chain.gyro, state, rate).forEach((s, k) => {
        first[k]!.section = s;
      });
      sectionsOf(chain.dterm, state, rate).forEach((s, k) => {
        second[k]!.section = s;
      });
    }
    const y = first.reduce((v, s) => s.step(v), raw[i]!);
    gyro[i] = y;
    dterm[i] = second.reduce((v, s) => s.step(v), (y - before) * rate);
    before = y;
  }
  const rms = (x: Float64Array): number => {
    const { frequency, density } = welch(x, {
      sampleRate: rate,
      segmentLength: 2048,
      // squared Hann windows add up to the same everywhere only from here on: bursts count as much wherever they fall
      overlap: 0.75,
      spans: timeline.airborne,
      valid: timeline.valid,
    });
    const width = frequency[1]!;
    let ms = 0;
    for (let k = 1; k < frequency.length; k++) {
      ms += density[k]! * Math.max(0, Math.min(width, frequency[k]! + width / 2 - fromHz));
    }
    return Math.sqrt(ms);
  };
  return { gyroRms: rms(gyro), dtermRms: rms(dterm) };
}
