import { readFileSync } from "node:fs";
import { beforeAll, describe, expect, it } from "vitest";
import { identifyModes } from "../../src/modes/identify-modes.js";
import { steadyLines } from "../../src/modes/tones.js";
import { noRotor } from "../../src/rotor/none.js";
import type { Timeline } from "../../src/timeline/timeline.js";
import { recorded } from "../real/recorded.js";

/**
 * A steel cantilever on a shaker, acceleration at 3200 Hz: tones at 100, 120 and 150 Hz (and their sums and multiples:
 * shaker distortion), the 150 Hz one switched off half way; nothing moves.
 *
 * Source: P. Chowdhury, A. Downey, J. D. Bakos, P. Conrad, "Dataset-4-univariate-signal-with-nonstationarity",
 * April 2021, CC BY-SA 4.0 (read where it lies, no copy here).
 */
const file = recorded("beam_shaker_tone_drops_out.csv");
const FS = 3200;

/** A part of the record as if one gyro axis had seen it. */
function part(accel: Float32Array, fromS: number, toS: number): Timeline {
  const none = { roll: null, pitch: null, yaw: null };
  return {
    sampleRate: FS,
    startS: 0,
    length: accel.length,
    valid: new Uint8Array(accel.length).fill(1),
    gaps: [],
    filledSamples: 0,
    jitterShare: 0,
    gyroRaw: { ...none, roll: accel },
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
    airborne: [{ from: fromS * FS, to: Math.min(accel.length, toS * FS) }],
    resting: [],
  };
}

describe.skipIf(file.absent)(`modes of a recorded beam that only tones drive${file.note}`, () => {
  let accel = new Float32Array(0);
  beforeAll(() => {
    const rows = readFileSync(file.path, "utf8").trim().split("\n").slice(1);
    accel = Float32Array.from(rows, (row) => Number(row.split(",")[3]));
  });
  const near = (lines: number[], hz: number): number => Math.min(...lines.map((l) => Math.abs(l - hz)));

  it("steadyLines finds 100, 120 and 150 Hz within 0.5 Hz in the first half", () => {
    const lines = steadyLines(part(accel, 0.5, 9.5), accel, 1).map((l) => l.frequencyHz);
    for (const hz of [100, 120, 150]) expect(near(lines, hz)).toBeLessThan(0.5);
  });

  it("steadyLines finds 150 Hz gone after 10 s, 100 and 120 Hz still there", () => {
    const lines = steadyLines(part(accel, 10, 19.7), accel, 1).map((l) => l.frequencyHz);
    expect(near(lines, 150)).toBeGreaterThan(2);
    for (const hz of [100, 120]) expect(near(lines, hz)).toBeLessThan(0.5);
  });

  it("identifyModes calls nothing a structure: nobody knows what turns, and nothing shows a damped mode", () => {
    const { modes } = identifyModes(part(accel, 0, 19.7), noRotor([]), {});
    expect(modes.filter((m) => m.kind === "structure")).toEqual([]);
  });
});
