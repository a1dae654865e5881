import { describe, expect, it } from "vitest";
import type { ModesEstimate } from "../../src/modes/mode.js";
import type { RotorEstimate } from "../../src/rotor/rotor.js";
import { gatherEvidence } from "../../src/spectra/gather-evidence.js";
import { welch } from "../../src/spectra/welch.js";
import type { Timeline } from "../../src/timeline/timeline.js";
import { perAxis } from "../../src/units.js";
import { expectClose, parkMiller } from "../vectors/vector.js";

const FS = 500;
const none = perAxis(() => null);

function timelineOf(length: number, parts: Partial<Timeline> = {}): Timeline {
  return {
    sampleRate: FS,
    startS: 10,
    length,
    valid: new Uint8Array(length).fill(1),
    gaps: [],
    filledSamples: 0,
    jitterShare: 0,
    gyroRaw: none,
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
    ...parts,
  };
}

const noRotor: RotorEstimate = {
  source: "none",
  confidence: 0,
  medianHz: null,
  bandHz: null,
  curve: [],
  polePairs: null,
  polePairsHow: null,
  blades: null,
  bladesHow: null,
  delayS: null,
  delayCi95S: null,
  worstMotor: null,
  motors: [],
  referenceHz: null,
  orders: [],
  tracks: [],
  hover: false,
  doubts: [],
};
const noModes: ModesEstimate = {
  modes: [],
  tones: [],
  unobservable: [],
  fixed: none,
  shapes: { roll: [], pitch: [], yaw: [] },
  falseAlarmRate: 0,
  doubts: [],
};

const LENGTH = 40 * FS;
const noise = (seed: number): Float32Array => Float32Array.from(parkMiller(LENGTH, seed));
const throttle = Float32Array.from({ length: LENGTH }, (_, n) => 0.3 + (0.4 * n) / LENGTH);

describe("gatherEvidence(timeline, rotor, modes)", () => {
  const roll = noise(12345);
  const timeline = timelineOf(LENGTH, {
    gyroRaw: { ...none, roll },
    gyroFiltered: { ...none, roll: noise(777), yaw: noise(4242) },
    dterm: { ...none, roll: noise(9001) },
    throttle,
    airborne: [{ from: 2 * FS, to: 38 * FS }],
  });
  const evidence = gatherEvidence(timeline, noRotor, noModes);

  it("gives Welch spectra at about 1 Hz of what the log has, and null for what it has not", () => {
    const { roll: spectra, pitch, yaw } = evidence.spectra;
    const options = { sampleRate: FS, segmentLength: 512, spans: timeline.airborne };
    expectClose(spectra.raw!.density, welch(roll, options).density, { relative: 6e-8 });
    expectClose(spectra.filtered!.density, welch(noise(777), options).density);
    expect(spectra.dterm!.unit).toBe("unit²/Hz");
    expect([pitch.raw, pitch.filtered, yaw.raw, yaw.dterm]).toEqual([null, null, null, null]);
    expect(yaw.filtered).not.toBeNull();
  });

  it("maps the analysed gyro over throttle and over the log's time, airborne part only", () => {
    const time = evidence.timeMap.roll!;
    expect(time.x[0]!).toBeCloseTo(12 + 256 / FS, 9);
    expect(time.x.at(-1)!).toBeLessThan(48);
    const byThrottle = evidence.throttleMap.roll!;
    expect(byThrottle.x[0]!).toBeCloseTo(0.32, 1);
    expect(byThrottle.x.length).toBeLessThanOrEqual(100);
    expect(byThrottle.y.length).toBeLessThanOrEqual(500);
    expect(evidence.throttleMap.yaw).toBeNull();
    expect(evidence.throttle!.x.length).toBeLessThanOrEqual(600);
  });

  it("takes the filtered gyro for the maps when the log has no raw one", () => {
    const filteredOnly = timelineOf(LENGTH, { gyroFiltered: { ...none, roll } });
    const { spectra, timeMap, throttleMap } = gatherEvidence(filteredOnly, noRotor, noModes);
    expect(spectra.roll.raw).toBeNull();
    expectClose(spectra.roll.filtered!.density, welch(roll, { sampleRate: FS, segmentLength: 512 }).density, {
      relative: 6e-8,
    });
    expect(timeMap.roll).not.toBeNull();
    expect(throttleMap.roll).toBeNull();
  });

  it("draws the mean speed of the motors known at each instant", () => {
    const one = new Float32Array(LENGTH).fill(100);
    const two = new Float32Array(LENGTH).fill(110).fill(Number.NaN, LENGTH / 2);
    const tracks = [
      { motor: 1, hz: one },
      { motor: 2, hz: two },
    ];
    const { rotorHz } = gatherEvidence(timeline, { ...noRotor, source: "telemetry", tracks }, noModes);
    expect([rotorHz!.y[0], rotorHz!.y.at(-1)]).toEqual([105, 100]);
    expect(evidence.rotorHz).toBeNull();
  });

  it("shortens its frames on a short flight, and says null when not even a short one fits", () => {
    const short = (length: number): Timeline =>
      timelineOf(length, { gyroRaw: { ...none, roll: roll.slice(0, length) } });
    const brief = gatherEvidence(short(300), noRotor, noModes);
    expect(brief.spectra.roll.raw!.frequency.length).toBe(33);
    expect(brief.spectra.roll.raw!.averages).toBe(8);
    const tiny = gatherEvidence(short(10), noRotor, noModes);
    expect([tiny.spectra.roll.raw, tiny.timeMap.roll, tiny.throttleMap.roll]).toEqual([null, null, null]);
  });

  it("never lets a gap into a transform", () => {
    const poisoned = roll.slice().fill(Number.NaN, 5000, 5100);
    const valid = new Uint8Array(LENGTH).fill(1).fill(0, 5000, 5100);
    const { spectra, timeMap } = gatherEvidence(
      timelineOf(LENGTH, { gyroRaw: { ...none, roll: poisoned }, valid }),
      noRotor,
      noModes,
    );
    expect(spectra.roll.raw!.density.every(Number.isFinite)).toBe(true);
    const { seconds, level, y } = timeMap.roll!;
    seconds.forEach((s, i) => {
      expect(Number.isNaN(level[i * y.length]!)).toBe(s === 0);
    });
  });
});
