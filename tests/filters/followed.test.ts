import { describe, expect, test } from "vitest";
import type { RotorNotchStep } from "../../src/filters/chain.js";
import { followedFrames, followedGain, logNotch } from "../../src/filters/followed.js";
import type { RotorEstimate } from "../../src/rotor/rotor.js";
import { frameGrid } from "../../src/spectra/frame-grid.js";
import { NO_ROTOR } from "./blank.js";

const RATE = 1000;
const LENGTH = 4096;
const step: RotorNotchStep = { kind: "rotor notches", orders: [1], q: 5, lowestHz: 30 };
const grid = frameGrid([{ from: 0, to: LENGTH }], { sampleRate: RATE, segmentLength: 512, hop: 256 });

/** A motor whose speed climbs, and the line that it makes in a log of 1 kHz. */
function climbing(fromHz: number, toHz: number): { readonly rotor: RotorEstimate; readonly x: Float32Array } {
  const hz = Float32Array.from({ length: LENGTH }, (_, i) => fromHz + ((toHz - fromHz) * i) / LENGTH);
  let turns = 0;
  const x = hz.map((f) => {
    turns += f / RATE;
    return Math.sin(2 * Math.PI * turns);
  });
  return { rotor: { ...NO_ROTOR, source: "telemetry", tracks: [{ motor: 1, hz }] }, x };
}

function power(x: Float32Array): number {
  return x.reduce((sum, v) => sum + v * v, 0) / x.length;
}

describe("followedFrames()", () => {
  test.each([
    ["below Nyquist", 100, 140],
    ["that folds", 720, 680],
  ])("leaves less than a thousandth of a moving line %s", (_name, fromHz, toHz) => {
    const { rotor, x } = climbing(fromHz, toHz);
    const [ran] = followedFrames([x], grid, { rotor, step });
    // the very first frame has nothing before it in which the notch could settle
    expect(power(ran!.samples.subarray(512)) / power(x)).toBeLessThan(1e-3);
  });

  test("leaves a line that stands elsewhere alone", () => {
    const { rotor } = climbing(100, 140);
    const { x } = climbing(300, 300);
    const [ran] = followedFrames([x], grid, { rotor, step });
    expect(power(ran!.samples) / power(x)).toBeGreaterThan(0.97);
  });

  test("lays its frames one after the other", () => {
    const { rotor, x } = climbing(100, 140);
    const [ran] = followedFrames([x], grid, { rotor, step });
    expect([...ran!.grid.starts.slice(0, 3)]).toEqual([0, 512, 1024]);
    expect(ran!.samples).toHaveLength(512 * grid.starts.length);
  });
});

describe("logNotch()", () => {
  test("stands where the log shows its line, as wide as it truly is", () => {
    expect(logNotch(step, 100, RATE)).toEqual({ hz: 100, q: 5, folded: false });
    expect(logNotch(step, 700, RATE)).toEqual({ hz: 300, q: 300 / 140, folded: true });
  });

  test("stays at its lowest frequency, and is null where the band has no room for it", () => {
    expect(logNotch(step, 10, RATE)!.hz).toBe(30);
    expect(logNotch(step, 490, RATE)).toBeNull();
    expect(logNotch(step, 990, RATE)).toBeNull();
    expect(logNotch(step, Number.NaN, RATE)).toBeNull();
  });
});

test("followedGain() is nothing on a notch and one far from it", () => {
  const gain = followedGain(step, [[125]], grid);
  expect(gain[64]).toBeCloseTo(0, 9);
  expect(gain[200]).toBeGreaterThan(0.98);
});
