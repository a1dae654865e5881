import { describe, expect, it } from "vitest";
import { frameGrid } from "../../src/spectra/frame-grid.js";
import { shortTimeSpectrum } from "../../src/spectra/short-time.js";
import { framePowers, meanDensity, meanLevel, powerBetween } from "../../src/verdict/band-level.js";
import { kindsOfFlight, median } from "../../src/verdict/calm.js";
import { excessLevel } from "../../src/verdict/line-level.js";
import { stepOf } from "../../src/verdict/quality-sensor.js";
import { quietBandOf } from "../../src/verdict/quiet-band.js";
import { grade, say } from "../../src/verdict/reason.js";
import { thirdOctaves } from "../../src/verdict/third-octave.js";

const RATE = 1000;
const LENGTH = 60 * RATE;
/** Park and Miller's generator, CACM 31(10), 1988; twelve of them make a fair normal deviate. */
function noise(length: number, seed: number): Float32Array {
  let s = seed;
  const uniform = (): number => {
    s = (16807 * s) % 2147483647;
    return s / 2147483647;
  };
  return Float32Array.from({ length }, () => {
    let sum = -6;
    for (let i = 0; i < 12; i++) sum += uniform();
    return sum;
  });
}
const grid = frameGrid([{ from: 0, to: LENGTH }], { sampleRate: RATE, segmentLength: 512, hop: 256 });
const always = (): boolean => true;

describe("meanLevel(powers, keep, bins)", () => {
  it("is the root of the mean power", () => {
    expect(meanLevel(new Float64Array(48).fill(4), always, 10)!.rms).toBe(2);
  });
  it("is null when no frame counts", () => {
    expect(meanLevel([1, 2, 3], () => false, 10)).toBeNull();
  });
  it("leaves out frames that are not numbers", () => {
    expect(meanLevel([4, Number.NaN, 4], always, 10)).toMatchObject({ rms: 2, frames: 2 });
  });
  it("gives the RMS of white noise in a band, the truth inside its interval 90 to 100 times of 100", () => {
    // White noise of unit variance holds (100 − 50) / 500 of it between 50 and 100 Hz.
    const truth = Math.sqrt(0.1);
    let inside = 0;
    for (let seed = 1; seed <= 100; seed++) {
      const short = frameGrid([{ from: 0, to: 12 * RATE }], {
        sampleRate: RATE,
        segmentLength: 512,
        hop: 256,
      });
      const spectrum = shortTimeSpectrum(noise(12 * RATE, seed * 7919), short);
      const level = meanLevel(framePowers(spectrum, 50, 100), always, 25)!;
      if (level.ci95[0] <= truth && truth <= level.ci95[1]) inside++;
    }
    expect(inside).toBeGreaterThanOrEqual(90);
  });
  it("widens its interval when the level wanders through the flight", () => {
    const steady = meanLevel(new Float64Array(120).fill(1), always, 50)!;
    const wandering = meanLevel(
      Float64Array.from({ length: 120 }, (_, k) => (k < 60 ? 0.2 : 1.8)),
      always,
      50,
    )!;
    expect(wandering.ci95[1]).toBeGreaterThan(steady.ci95[1] * 1.2);
  });
});

describe("powerBetween(density, df, band)", () => {
  it("takes a share of a bin: 2 units over 1.5 Hz", () => {
    expect(powerBetween(new Float64Array([0, 2, 2, 2]), 1, [1, 2.5])).toBeCloseTo(3, 12);
  });
  it("adds up over bands that touch", () => {
    const spectrum = shortTimeSpectrum(noise(LENGTH, 5), grid);
    const density = meanDensity(spectrum, always);
    const df = RATE / 512;
    const parts = thirdOctaves(5, RATE / 2);
    const total = parts.reduce((sum, b) => sum + powerBetween(density, df, [b.fromHz, b.toHz]), 0);
    expect(total).toBeCloseTo(powerBetween(density, df, [parts[0]!.fromHz, RATE / 2]), 10);
  });
});

describe("excessLevel(spectrum, spans, keep)", () => {
  it("finds a sine's RMS in noise and not the noise's", () => {
    const x = noise(LENGTH, 3).map((v, i) => v + 0.5 * Math.SQRT2 * Math.sin((2 * Math.PI * 101 * i) / RATE));
    const spectrum = shortTimeSpectrum(x, grid);
    const at = (hz: number) => (): [number, number] => [
      Math.floor((hz * 512) / RATE) - 2,
      Math.ceil((hz * 512) / RATE) + 2,
    ];
    expect(excessLevel(spectrum, at(101), always)!.rms).toBeCloseTo(0.5, 1);
    expect(excessLevel(spectrum, at(301), always)!.rms).toBeLessThan(0.05);
  });
});

describe("thirdOctaves(lowestHz, highestHz)", () => {
  it("has the nominal bands of IEC 61260-1: 1000 Hz reaches from 891.25 to 1122.02 Hz", () => {
    const [band] = thirdOctaves(900, 1300);
    expect(band!.fromHz).toBeCloseTo(891.2509, 3);
    expect(band!.toHz).toBeCloseTo(1122.0185, 3);
  });
  it("joins band to band and ends at Nyquist", () => {
    const bands = thirdOctaves(5, 500);
    for (let i = 1; i < bands.length; i++) expect(bands[i]!.fromHz).toBeCloseTo(bands[i - 1]!.toHz, 9);
    expect(bands.at(-1)!.toHz).toBe(500);
    expect(bands[0]!.fromHz).toBeGreaterThan(4.4);
    expect(bands[0]!.fromHz).toBeLessThan(5);
  });
});

describe("kindsOfFlight(facts)", () => {
  const frames = 60;
  const calm = {
    shaken: Float64Array.from({ length: frames }, (_, k) => 1 + 0.3 * Math.sin(k)),
    throttle: new Float64Array(frames).fill(0.5),
    throttleMove: new Float64Array(frames).fill(0.02),
  };
  const at = (values: Float64Array, k: number, value: number): Float64Array =>
    values.map((v, i) => (i === k ? value : v));

  it("calls a steady flight calm", () => {
    expect(new Set(kindsOfFlight(calm))).toEqual(new Set(["calm"]));
  });
  it("keeps out a chop and the frames beside it", () => {
    const kinds = kindsOfFlight({ ...calm, throttleMove: at(calm.throttleMove, 20, 0.4) });
    expect(kinds.map((kind, k) => (kind === "chop" ? k : -1)).filter((k) => k >= 0)).toEqual([19, 20, 21]);
  });
  it("tells a descent (low throttle, shaken) from a gust", () => {
    const shaken = at(at(calm.shaken, 10, 40), 30, 40);
    const kinds = kindsOfFlight({ ...calm, shaken, throttle: at(calm.throttle, 10, 0.25) });
    expect(kinds[10]).toBe("wash");
    expect(kinds[30]).toBe("gust");
  });
  it("works without throttle: what is shaken is a gust", () => {
    const throttle = new Float64Array(frames).fill(Number.NaN);
    expect(kindsOfFlight({ ...calm, throttle, shaken: at(calm.shaken, 5, 50) })[5]).toBe("gust");
  });
  it("does not change when everything shakes more", () => {
    const shaken = at(calm.shaken, 10, 40);
    expect(kindsOfFlight({ ...calm, shaken: shaken.map((v) => 100 * v) })).toEqual(
      kindsOfFlight({ ...calm, shaken }),
    );
  });
  it("has a median", () => {
    expect(median([3, 1, 2])).toBe(2);
    expect(median([4, 1, 2, 3])).toBe(2.5);
    expect(median([])).toBeNaN();
  });
});

describe("grade(value, ci95, steps)", () => {
  const steps = { marginal: 1, loud: 3 };
  it("takes the worse side of an interval that reaches over a limit, and says so", () => {
    expect(grade(0.9, [0.8, 1.1], steps)).toEqual({ level: "marginal", limit: 1, straddles: true });
    expect(grade(2.9, [2.5, 3.1], steps)).toEqual({ level: "loud", limit: 3, straddles: true });
  });
  it("is plain when the interval clears the limits", () => {
    expect(grade(0.5, [0.4, 0.6], steps)).toEqual({ level: "ok", limit: 1, straddles: false });
    expect(grade(5, [4, 6], steps)).toEqual({ level: "loud", limit: 3, straddles: false });
  });
  it("never makes loud what has no loud limit", () => {
    expect(grade(50, [40, 60], { marginal: 1 }).level).toBe("marginal");
  });
});

describe("stepOf(changes)", () => {
  const rounded = (step: number): Float64Array => {
    const x = noise(20000, 77).map((v) => step * Math.round((3 * v) / step));
    return Float64Array.from(x.subarray(1), (v, i) => Math.abs(v - x[i]!))
      .filter((c) => c > 0)
      .sort();
  };
  it.each([0.061, 0.5, 1, 4])("finds a step of %f deg/s", (step) => {
    expect(stepOf(rounded(step))).toBeCloseTo(step, 4);
  });
  it("still finds it when a hundredth of the samples were filled in between", () => {
    const filled = Float64Array.from([
      ...rounded(1),
      ...Array.from({ length: 150 }, (_, i) => 0.003 * (i + 1)),
    ]).sort();
    expect(stepOf(filled)).toBeCloseTo(1, 6);
  });
  it("is next to nothing for a continuous series, however strong", () => {
    const x = noise(20000, 78).map((v) => 100 * v);
    const changes = Float64Array.from(x.subarray(1), (v, i) => Math.abs(v - x[i]!))
      .filter((c) => c > 0)
      .sort();
    expect(stepOf(changes)).toBeLessThan(0.1);
  });
  it("is 0 when nothing changes", () => {
    expect(stepOf(new Float64Array(0))).toBe(0);
  });
});

describe("say(value)", () => {
  it("has three significant digits and no idle zeros", () => {
    expect([0.08904, 12.0, 262.4, 0, 1234.5, 30, 0.5].map(say)).toEqual([
      "0.089",
      "12",
      "262",
      "0",
      "1235",
      "30",
      "0.5",
    ]);
  });
});

describe("quietBandOf(fromHz, cruise, where)", () => {
  const where = { frames: { grid }, rotor: { source: "telemetry", orders: [] } } as const;
  const guard = (3.5 * RATE) / 512;
  it("ends clear of the once-per-turn band", () => {
    expect(quietBandOf(20, [60, 90], where)).toEqual({ fromHz: 20, toHz: 60 - guard });
  });
  it("is none when its ends meet, and when they nearly do", () => {
    expect(quietBandOf(20, [18, 40], where).toHz).toBe(18 - guard);
    expect(quietBandOf(20, [20.1 + guard, 40], where).toHz).toBe(20);
    expect(quietBandOf(20, [24 + guard, 40], where).toHz).toBeCloseTo(24, 10);
  });
});
