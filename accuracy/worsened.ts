import type { Scenario } from "../simulator/scenario.js";
import type { Timeline } from "../src/timeline/timeline.js";

/** The same flight with all that shakes scaled; wash, and with it the modes, whose prominence is over the floor. */
export function scaled(scenario: Scenario, factor: number): Scenario {
  const { lines = {}, wash = {} } = scenario;
  return {
    ...scenario,
    lines: {
      ...lines,
      onceDps: factor * (lines.onceDps ?? 0),
      twiceDps: factor * (lines.twiceDps ?? 0),
      bladePassDps: (lines.bladePassDps ?? []).map((dps) => factor * dps),
    },
    wash: { ...wash, density: factor * (wash.density ?? 0) },
  };
}

/** The first mode moved to the middle of the once-per-turn band. */
export function moved(scenario: Scenario): Scenario {
  const [first, ...rest] = scenario.modes ?? [];
  const hz = scenario.rotors?.hoverHz ?? 90;
  return first === undefined
    ? scenario
    : { ...scenario, modes: [{ ...first, frequencyHz: hz * 1.03 }, ...rest] };
}

/** The first part of a flight, as if the recorder had stopped. */
export function cutShort(timeline: Timeline, share: number): Timeline {
  const first = timeline.airborne[0];
  if (first === undefined) return timeline;
  const air = timeline.airborne.reduce((sum, span) => sum + span.to - span.from, 0);
  const length = Math.min(timeline.length, first.from + Math.round(share * air));
  const clip = (spans: Timeline["airborne"]): Timeline["airborne"] =>
    spans.filter((span) => span.from < length).map(({ from, to }) => ({ from, to: Math.min(to, length) }));
  const series = <T extends Float32Array | null>(x: T): T => (x === null ? x : (x.slice(0, length) as T));
  const axes = (s: Timeline["gyroRaw"]): Timeline["gyroRaw"] => ({
    roll: series(s.roll),
    pitch: series(s.pitch),
    yaw: series(s.yaw),
  });
  const end = timeline.startS + length / timeline.sampleRate;
  return {
    ...timeline,
    length,
    valid: timeline.valid.slice(0, length),
    gaps: timeline.gaps.filter((gap) => gap.fromS < end),
    gyroRaw: axes(timeline.gyroRaw),
    gyroFiltered: axes(timeline.gyroFiltered),
    dterm: axes(timeline.dterm),
    setpoint: axes(timeline.setpoint),
    accel: axes(timeline.accel),
    throttle: series(timeline.throttle),
    voltage: series(timeline.voltage),
    motors: timeline.motors.map((m) => series(m)),
    rotorSpeed: timeline.rotorSpeed.map((report) => ({ ...report, hz: series(report.hz) })),
    airborne: clip(timeline.airborne),
    resting: clip(timeline.resting),
  };
}
