import { describe, expect, it } from "vitest";
import { amplitudeDb, LOWEST_DB, powerDb, powerRatio } from "../../src/spectra/decibel.js";
import { frameGrid } from "../../src/spectra/frame-grid.js";
import { shortTimeSpectrum } from "../../src/spectra/short-time.js";
import type { HeatMap } from "../../src/spectra/spectrum.js";
import { thin } from "../../src/spectra/thin.js";
import { frameMeans, rotorMap, throttleMap } from "../../src/spectra/throttle-map.js";
import { timeMap } from "../../src/spectra/time-map.js";

const FS = 1000;
const COUNT = 60 * FS;
/** Throttle rises from 0.2 to 0.8 over a minute; a line climbs with it (300 Hz at full throttle), another stays at 77 Hz. */
const throttle = Float32Array.from({ length: COUNT }, (_, n) => 0.2 + (0.6 * n) / COUNT);
const climbing = (() => {
  let phase = 0;
  return throttle.map((u) => {
    phase += (2 * Math.PI * 300 * u) / FS;
    return 10 * Math.sin(phase);
  });
})();
const series = climbing.map((v, n) => v + 5 * Math.sin((2 * Math.PI * 77 * n) / FS));
const grid = frameGrid([{ from: 0, to: COUNT }], { sampleRate: FS, segmentLength: 512, hop: 256 });
const frames = shortTimeSpectrum(series, grid);

/** Frequency of the highest level of a column between two frequencies. */
function strongest(map: HeatMap, column: number, [from, to]: [number, number]): number {
  let best = -1;
  for (let row = 0; row < map.y.length; row++) {
    if (map.y[row]! < from || map.y[row]! > to) continue;
    if (best < 0 || map.level[column * map.y.length + row]! > map.level[column * map.y.length + best]!)
      best = row;
  }
  return map.y[best]!;
}

describe("throttleMap(frames, throttle)", () => {
  const map = throttleMap(frames, throttle)!;

  it("has columns of 1 % of throttle over the range flown, all seconds of flight in them", () => {
    expect(map.x.length).toBe(61);
    expect(map.x[0]!).toBeCloseTo(0.2, 9);
    expect(map.x.at(-1)!).toBeCloseTo(0.8, 9);
    const seconds = map.seconds.reduce((sum, s) => sum + s, 0);
    expect(seconds).toBeCloseTo((grid.starts.length * grid.hop) / FS, 9);
    expect(map.level.length).toBe(map.x.length * map.y.length);
  });

  it("shows one line that climbs with throttle and one that stands still", () => {
    for (const column of [15, 20, 30, 45, 58]) {
      expect(Math.abs(strongest(map, column, [90, 400]) - 300 * map.x[column]!)).toBeLessThan(6);
      expect(Math.abs(strongest(map, column, [74, 81]) - 77)).toBeLessThan(2.1);
    }
  });

  it("keeps the level: a bin-wide average of mean PSD, in dB", () => {
    const flat = { ...frames, power: new Float32Array(frames.power.length).fill(0.01) };
    for (const level of throttleMap(flat, throttle)!.level) expect(level).toBeCloseTo(-20, 5);
  });

  it("averages neighbouring bins to stay within the rows asked for", () => {
    const small = throttleMap(frames, throttle, { maxRows: 100, maxColumns: 10 })!;
    expect(small.y.length).toBeLessThanOrEqual(100);
    expect(small.x.length).toBeLessThanOrEqual(10);
    expect(small.y[0]!).toBeCloseTo(FS / 512, 9);
  });

  it("leaves frames of unknown throttle out and is null when nothing is known", () => {
    const half = throttle.map((u, n) => (n < COUNT / 2 ? Number.NaN : u));
    expect(throttleMap(frames, half)!.x[0]!).toBeGreaterThan(0.49);
    expect(throttleMap(frames, new Float32Array(COUNT).fill(Number.NaN))).toBeNull();
  });

  it("widens its columns on a short flight and gives one column for constant throttle", () => {
    const few = frameGrid([{ from: 0, to: 4 * FS }], { sampleRate: FS, segmentLength: 512, hop: 256 });
    const short = shortTimeSpectrum(series, few);
    const ramp = throttle.map((_, n) => n / (4 * FS));
    expect(throttleMap(short, ramp)!.x.length).toBeLessThanOrEqual(few.starts.length / 2 + 1);
    expect(throttleMap(short, new Float32Array(COUNT).fill(0.5))!.x.length).toBe(1);
  });
});

describe("rotorMap(frames, rotorHz)", () => {
  it("turns an order into a straight line", () => {
    const map = rotorMap(
      frames,
      throttle.map((u) => 300 * u),
    )!;
    for (const column of [20, 40, 60]) {
      expect(Math.abs(strongest(map, column, [90, 400]) - map.x[column]!)).toBeLessThan(6);
    }
  });
});

describe("timeMap(frames, { startS })", () => {
  it("has at most 400 columns at the frames' times on the log's clock", () => {
    const map = timeMap(frames, { startS: 100 })!;
    expect(map.x[0]!).toBeCloseTo(100.256, 9);
    expect(map.x.length).toBe(grid.starts.length);
    expect(timeMap(frames, { maxColumns: 50 })!.x.length).toBeLessThanOrEqual(50);
  });

  it("leaves a gap empty", () => {
    const spans = [
      { from: 0, to: 10 * FS },
      { from: 40 * FS, to: COUNT },
    ];
    const parts = frameGrid(spans, { sampleRate: FS, segmentLength: 512, hop: 256 });
    const map = timeMap(shortTimeSpectrum(series, parts))!;
    const inGap = map.x.findIndex((t) => t > 25);
    expect(map.seconds[inGap]).toBe(0);
    expect(map.level[inGap * map.y.length]).toBeNaN();
  });

  it("is null without a frame", () => {
    const none = frameGrid([], { sampleRate: FS, segmentLength: 512, hop: 256 });
    expect(timeMap(shortTimeSpectrum(series, none))).toBeNull();
  });
});

describe("frameMeans(grid, series)", () => {
  it("averages what is known within each frame", () => {
    const four = frameGrid([{ from: 0, to: 4 }], { sampleRate: 1, segmentLength: 2, hop: 2 });
    expect([...frameMeans(four, Float32Array.of(1, 3, Number.NaN, 5))]).toEqual([2, 5]);
  });
});

describe("thin(series, options)", () => {
  it("averages stretches and leaves invalid samples out", () => {
    const drawn = thin(Float32Array.of(1, 3, 5, 7), { sampleRate: 1, startS: 10, maxPoints: 2 });
    expect([...drawn.y]).toEqual([2, 6]);
    expect([...drawn.x]).toEqual([10.5, 12.5]);
    const valid = Uint8Array.of(1, 0, 0, 0);
    expect([...thin(Float32Array.of(1, 3, 5, 7), { sampleRate: 1, maxPoints: 2, valid }).y]).toEqual([
      1,
      Number.NaN,
    ]);
    expect(thin(new Float32Array(100_001), { sampleRate: 1 }).x.length).toBeLessThanOrEqual(600);
  });
});

describe("decibels", () => {
  it("powerDb(0.01) is −20, and zero power stops at the lowest level", () => {
    expect([powerDb(0.01), amplitudeDb(0.1), powerDb(0)]).toEqual([-20, -20, LOWEST_DB]);
    expect(powerRatio(-20)).toBeCloseTo(0.01, 12);
    expect(powerDb(Number.NaN)).toBeNaN();
  });
});
