import { describe, expect, it } from "vitest";
import type { Timeline } from "../../src/timeline/timeline.js";
import { commandedMotion } from "../../src/verdict/commanded-motion.js";
import { cruiseOf, flownBand } from "../../src/verdict/cruise.js";
import type { FlightFrames } from "../../src/verdict/flight-frames.js";
import { flightFrames } from "../../src/verdict/flight-frames.js";
import { limitsFor } from "../../src/verdict/limits.js";
import { filterAt } from "../../src/verdict/loop.js";
import { swelling } from "../../src/verdict/swelling.js";
import { CLEAN, knownFlight, NO_ROTOR, NO_SERIES } from "./known-flight.js";

const RATE = 500;
const LENGTH = 60 * RATE;
const LIMITS = limitsFor({});

/** White noise through a one-pole low-pass at `cutHz`, and independent noise on top. */
function follower(cutHz: number): { setpoint: Float32Array; gyro: Float32Array } {
  let s = 12345;
  const uniform = (): number => {
    s = (16807 * s) % 2147483647;
    return s / 2147483647 - 0.5;
  };
  const setpoint = new Float32Array(LENGTH);
  const gyro = new Float32Array(LENGTH);
  const keep = Math.exp((-2 * Math.PI * cutHz) / RATE);
  let slow = 0;
  for (let i = 0; i < LENGTH; i++) {
    slow = keep * slow + (1 - keep) * 400 * uniform();
    setpoint[i] = slow;
    gyro[i] = slow + 6 * uniform();
  }
  return { setpoint, gyro };
}

function timelineOf(setpoint: Float32Array | null, gyro: Float32Array): Timeline {
  return {
    ...knownFlight({ ...CLEAN, durationS: 1 }).timeline,
    sampleRate: RATE,
    length: LENGTH,
    valid: new Uint8Array(LENGTH).fill(1),
    gyroRaw: { ...NO_SERIES, roll: gyro },
    setpoint: { ...NO_SERIES, roll: setpoint },
    airborne: [{ from: 0, to: LENGTH }],
  };
}

describe("commandedMotion(timeline, craft, limits)", () => {
  it("reaches as far as the gyro follows the setpoint, at most 40 Hz", () => {
    const { setpoint, gyro } = follower(10);
    const found = commandedMotion(timelineOf(setpoint, gyro), {}, LIMITS);
    expect(found.how).toBe("log");
    expect(found.topHz).toBeGreaterThan(30);
    expect(found.topHz).toBeLessThanOrEqual(40);
  });
  it("does not take a gyro for following that has nothing to do with the setpoint", () => {
    const { gyro } = follower(10);
    const other = follower(3).setpoint.toReversed();
    expect(commandedMotion(timelineOf(other, gyro), {}, LIMITS)).toEqual({ topHz: 20, how: "default" });
  });
  it("falls back on the craft's crossover, then on the stated number, with no or a still setpoint", () => {
    const { gyro } = follower(10);
    expect(commandedMotion(timelineOf(null, gyro), {}, LIMITS)).toEqual({ topHz: 20, how: "default" });
    const still = timelineOf(new Float32Array(LENGTH), gyro);
    expect(commandedMotion(still, { crossoverHz: 12 }, LIMITS)).toEqual({ topHz: 12, how: "craft" });
  });
});

describe("filterAt(hz, axis, timeline)", () => {
  // Discrete one-pole low-pass y += (1 - k)(x - y): H = (1 - k) / (1 - k z^-1), phase -atan(k sin w / (1 - k cos w)).
  const k = Math.exp((-2 * Math.PI * 90) / RATE);
  const lag = (hz: number): number => {
    const w = (2 * Math.PI * hz) / RATE;
    return (Math.atan2(k * Math.sin(w), 1 - k * Math.cos(w)) * 180) / Math.PI;
  };
  const { gyro } = follower(80);
  const filtered = new Float32Array(LENGTH);
  for (let i = 1; i < LENGTH; i++) filtered[i] = k * filtered[i - 1]! + (1 - k) * gyro[i]!;
  const timeline = { ...timelineOf(null, gyro), gyroFiltered: { ...NO_SERIES, roll: filtered } };

  it.each([12.3, 31.7, 60])("is the lag of a first-order low-pass at %f Hz, to a degree", (hz) => {
    const { lagDeg, gain } = filterAt(hz, "roll", timeline)!;
    expect(Math.abs(lagDeg - lag(hz))).toBeLessThan(1);
    const w = (2 * Math.PI * hz) / RATE;
    expect(gain).toBeCloseTo((1 - k) / Math.sqrt(1 - 2 * k * Math.cos(w) + k * k), 1);
  });
  it("is null when raw and filtered gyro are not both logged", () => {
    expect(filterAt(30, "pitch", timeline)).toBeNull();
  });
});

describe("cruiseOf(frames, rotor)", () => {
  const frames = (speeds: readonly number[]): FlightFrames =>
    ({
      kind: speeds.map(() => "calm"),
      speed: speeds.map((hz) => ({ low: hz - 1, mean: hz, high: hz + 1 })),
      secondsPerFrame: 0.5,
    }) as unknown as FlightFrames;
  const held = Array.from({ length: 60 }, (_, k) => 80 + 0.2 * Math.sin(k));
  const swept = Array.from({ length: 40 }, (_, k) => 80 + 2 * (20 - Math.abs(20 - k)));

  it("is the band at held speed when enough of the flight is held", () => {
    const cruise = cruiseOf(frames([...held, ...swept]), NO_ROTOR)!;
    expect(cruise.how).toBe("held");
    expect(cruise.bandHz[0]).toBeGreaterThan(78);
    expect(cruise.bandHz[1]).toBeLessThan(90);
    expect(flownBand(frames([...held, ...swept]), NO_ROTOR)![1]).toBeGreaterThan(110);
  });
  it("is all calm flight when hardly any of it is held", () => {
    const cruise = cruiseOf(frames([...held.slice(0, 10), ...swept, ...swept]), NO_ROTOR)!;
    expect(cruise.how).toBe("calm");
    expect(cruise.bandHz[1]).toBeGreaterThan(110);
  });
  it("is null when no speed is known", () => {
    expect(cruiseOf(frames([Number.NaN, Number.NaN]), NO_ROTOR)).toBeNull();
  });
});

describe("swelling(mode, axis, line)", () => {
  const sweep = { ...CLEAN, flight: { ...CLEAN.flight!, profile: "sweep" as const } };
  const ratio = (scenario: typeof sweep): number | null => {
    const { timeline, rotor } = knownFlight(scenario);
    const mode = { frequencyHz: 88, dampingRatio: 0.02 } as Parameters<typeof swelling>[0];
    return swelling(mode, "roll", { order: 1, measured: { frames: flightFrames(timeline, rotor), rotor } });
  };
  it("is well above 1 where a mode answers", () => {
    const modes = [{ frequencyHz: 88, dampingRatio: 0.02, prominenceDb: { roll: 20 } }];
    expect(ratio({ ...sweep, modes })!).toBeGreaterThan(2);
  });
  it("is about 1 where there is none", () => {
    expect(ratio({ ...sweep, modes: [] })!).toBeLessThan(1.5);
  });
});
