import type { AxisSeries, Span, Timeline } from "../src/timeline/timeline.js";
import { type Axis, perAxis } from "../src/units.js";
import type { Clock } from "./clock.js";
import { bridge, gapReport, type Rows } from "./log-faults.js";
import type { LoggedSignals } from "./logged.js";
import type { FullScenario } from "./scenario.js";
import { asReadHz } from "./telemetry.js";

/** The record that decoding the log would give, without the detour over text. */
export function simulatedTimeline(
  s: FullScenario,
  clock: Clock,
  log: { signals: LoggedSignals; rows: Rows },
): Timeline {
  const { signals } = log;
  const { columns } = s;
  const { written } = log.rows;
  const kept = (x: Float32Array): Float32Array => {
    const copy = x.slice();
    bridge(copy, written);
    return copy;
  };
  const axes = (set: LoggedSignals["gyroRaw"], on: (axis: Axis) => boolean): AxisSeries =>
    perAxis((axis) => (on(axis) ? kept(set[axis]) : null));
  const throttle = columns.throttle ? kept(signals.throttle) : null;
  const motors = columns.motors ? signals.motors.map(kept) : [];
  return {
    sampleRate: clock.logRate,
    startS: 0,
    length: clock.logLength,
    ...gapReport(log.rows, clock.logRate),
    gyroRaw: axes(signals.gyroRaw, () => columns.gyroRaw),
    gyroFiltered: axes(signals.gyroFiltered, () => columns.gyroFiltered),
    dterm: axes(signals.dterm, (axis) => columns.dterm.includes(axis)),
    setpoint: axes(signals.setpoint, () => columns.setpoint),
    throttle: throttle ?? (motors.length > 0 ? meanThrottle(motors) : null),
    throttleFrom: throttle ? "throttle" : motors.length > 0 ? "motors" : null,
    motors,
    motorRange: columns.motors && columns.dterm.length > 0 ? s.chain.motorRange : null,
    rotorSpeed: speedReadings(s, signals, written),
    accel: axes(signals.accel, () => columns.accel),
    voltage: columns.voltage ? kept(signals.voltage) : null,
    flight: 1,
    ...groundAndAir(s, clock),
  };
}

function meanThrottle(motors: readonly Float32Array[]): Float32Array {
  return motors[0]!.map((_, i) => motors.reduce((sum, m) => sum + m[i]!, 0) / motors.length);
}

/** Hz as read; a row that was not written has no reading. */
function speedReadings(s: FullScenario, signals: LoggedSignals, written: Uint8Array): Timeline["rotorSpeed"] {
  const unit = s.telemetry?.unit ?? "rpm";
  const electrical = unit === "electrical rpm" && s.telemetry?.tellsElectrical === true ? true : null;
  return signals.speed.map((rows, m) => {
    const hz = new Float32Array(rows.length);
    for (let i = 0; i < hz.length; i++) hz[i] = written[i] === 1 ? asReadHz(rows[i]!, unit) : Number.NaN;
    return { motor: m + 1, hz, electrical };
  });
}

function groundAndAir(s: FullScenario, clock: Clock): { airborne: Span[]; resting: Span[] } {
  const from = Math.round(clock.airFromS * clock.logRate);
  const to = Math.min(clock.logLength, Math.round(clock.airToS * clock.logRate));
  const resting: Span[] = [];
  if (from > 0) resting.push({ from: 0, to: from });
  const stopped = to + Math.round(8 * s.rotors.lagS * clock.logRate);
  if (stopped < clock.logLength) resting.push({ from: stopped, to: clock.logLength });
  return { airborne: [{ from, to }], resting };
}
