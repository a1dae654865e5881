import { expect, test } from "vitest";
import { planColumns } from "../../src/decode/plan-columns.js";
import { readHeader } from "../../src/decode/read-header.js";

/** Role, axis or number, unit of single headers, as people write them. */
test.each([
  ["gyro_roll_rad_s", "gyro", "roll", "rad/s"],
  ["Gyro X (deg/s)", "gyro", "roll", "deg/s"],
  ["raw gyro pitch", "gyro", "pitch", null],
  ["rate.yaw", "gyro", "yaw", null],
  ["angular velocity y [rad/s]", "gyro", "pitch", "rad/s"],
  ["gyroscope_z", "gyro", "yaw", null],
  ["rollrate", "gyro", "roll", null],
  ["omega_x", "gyro", "roll", null],
  ["xgyro", "gyro", "roll", null],
  ["pitchspeed", "gyro", "pitch", null],
  ["wz", "gyro", "yaw", null],
  ["body rate q", "gyro", "pitch", null],
  ["gyro.pitch.filtered.dps", "gyro", "pitch", "deg/s"],
  ["Angular Velocity Z (°/s)", "gyro", "yaw", "deg/s"],
  ["gyro p [rad/s]", "gyro", "roll", "rad/s"],
  ["zacc", "accel", "yaw", null],
  ["D-term roll", "dterm", "roll", null],
  ["d_term_pitch", "dterm", "pitch", null],
  ["pid d yaw", "dterm", "yaw", null],
  ["desired roll rate (deg/s)", "setpoint", "roll", "deg/s"],
  ["setpoint_pitch", "setpoint", "pitch", null],
  ["throttle (%)", "throttle", null, "%"],
  ["thrust_command", "throttle", null, null],
  ["collective", "throttle", null, null],
  ["time_us", "time", null, "us"],
  ["t [s]", "time", null, "s"],
  ["timestamp (ms)", "time", null, "ms"],
  ["accel_z_g", "accel", "yaw", "g"],
  ["battery voltage (V)", "voltage", null, "V"],
  ["vbat", "voltage", null, null],
])("readHeader(%s) reads role, axis and unit", (header, role, axis, unit) => {
  const reading = readHeader(header);
  expect([reading.role, reading.axis, reading.unit]).toEqual([role, axis, unit]);
});

test.each([
  ["motor 3 rpm", "rotorSpeed", 3, "rpm"],
  ["erpm[0]", "rotorSpeed", 0, "electrical rpm"],
  ["rotor speed 1 (rad/s)", "rotorSpeed", 1, "rad/s"],
  ["motor_1_hz", "rotorSpeed", 1, "Hz"],
  ["motor[2]", "motor", 2, null],
  ["esc 1 rpm", "rotorSpeed", 1, "rpm"],
  ["gyroRaw[1]", "gyro", 1, null],
])("readHeader(%s) reads role, number and unit", (header, role, number, unit) => {
  const reading = readHeader(header);
  expect([reading.role, reading.number, reading.unit]).toEqual([role, number, unit]);
});

test.each([
  "height_m",
  "drive_voltage_V",
  "gps speed",
  "velocity_x",
  "loop time",
  "motor 1 temperature",
  "debug[0]",
  "roll angle",
  "cpu load",
  "temperature",
  "mode",
  "pid p roll",
  "yaw attitude (deg)",
])("readHeader(%s) takes nothing that is not needed for the gyro", (header) => {
  expect(["gyro", "dterm", "rotorSpeed", "throttle", "setpoint"]).not.toContain(readHeader(header).role);
});

test("planColumns(headers) counts axes and motors from 0 or 1 by the whole set", () => {
  const from0 = planColumns(
    ["time", "gyro raw 0", "gyro raw 1", "gyro raw 2", "motor 0", "motor 1", "motor 2", "motor 3"],
    null,
  );
  expect(from0.map((c) => c.axis ?? c.motor)).toEqual([null, "roll", "pitch", "yaw", 1, 2, 3, 4]);
  const from1 = planColumns(
    ["time", "gyro raw 1", "gyro raw 2", "gyro raw 3", "motor 1", "motor 2", "motor 3", "motor 4"],
    null,
  );
  expect(from1.map((c) => c.axis ?? c.motor)).toEqual([null, "roll", "pitch", "yaw", 1, 2, 3, 4]);
});

test("planColumns(p, q, r) takes the letters for body rates only when all three are there", () => {
  expect(planColumns(["t", "p", "q", "r"], null).map((c) => c.axis)).toEqual([null, "roll", "pitch", "yaw"]);
  expect(planColumns(["t", "p", "q"], null).map((c) => c.role)).not.toContain("gyro");
});

test("planColumns(headers) tells raw from filtered by the trade's words", () => {
  const plan = planColumns(["time", "gyro unfiltered x", "gyro filtered x"], null);
  expect(plan.map((c) => c.role)).toEqual(["time", "gyroRaw", "gyroFiltered"]);
});
