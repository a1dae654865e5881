import type { Timeline } from "../../src/timeline/timeline.js";
import type { Axis } from "../../src/units.js";

/** A timeline of nothing but raw gyro series, all in the air, without a gap. */
export function seriesTimeline(gyro: Partial<Record<Axis, Float32Array>>, sampleRate: number): Timeline {
  const length = Math.max(...Object.values(gyro).map((x) => x.length));
  const none = { roll: null, pitch: null, yaw: null };
  return {
    sampleRate,
    startS: 0,
    length,
    valid: new Uint8Array(length).fill(1),
    gaps: [],
    filledSamples: 0,
    jitterShare: 0,
    gyroRaw: { ...none, ...gyro },
    gyroFiltered: none,
    dterm: none,
    setpoint: none,
    throttle: null,
    throttleFrom: null,
    motors: [],
    motorRange: null,
    rotorSpeed: [],
    accel: none,
    voltage: null,
    flight: 1,
    airborne: [{ from: 0, to: length }],
    resting: [],
  };
}
