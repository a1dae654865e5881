import { describe, expect, it } from "vitest";
import { randomStream } from "../../simulator/random.js";
import { binomialTail, findTones, steadyLines } from "../../src/modes/tones.js";
import { seriesTimeline } from "./timelines.js";

const RATE = 500;
const SECONDS = 60;

/** White noise of unit deviation plus a line that drifts evenly about its middle. */
function lineInNoise(line: { hz: number; driftHz: number; amplitude: number }, seed: number): Float32Array {
  const random = randomStream(seed, "line in noise");
  return Float32Array.from({ length: RATE * SECONDS }, (_, i) => {
    const t = i / RATE - SECONDS / 2;
    const phase = 2 * Math.PI * (line.hz * t + (0.5 * line.driftHz * t * t) / SECONDS);
    return random.normal() + line.amplitude * Math.sin(phase);
  });
}

/** White noise through a resonance (two-pole recursion), of unit deviation about. */
function resonance(hz: number, dampingRatio: number, seed: number): Float32Array {
  const random = randomStream(seed, "resonance");
  const radius = Math.exp((-2 * Math.PI * dampingRatio * hz) / RATE);
  const turn = 2 * radius * Math.cos((2 * Math.PI * hz) / RATE);
  let [last, before] = [0, 0];
  return Float32Array.from({ length: RATE * SECONDS }, () => {
    const next = turn * last - radius * radius * before + random.normal();
    [before, last] = [last, next];
    return next + 5 * random.normal();
  });
}

describe("binomialTail(n, k, p)", () => {
  it("is the chance of k or more: two coins show a head three times in four", () => {
    expect(binomialTail(2, 1, 0.5)).toBeCloseTo(0.75, 12);
    expect(binomialTail(10, 0, 0.3)).toBeCloseTo(1, 12);
    expect(binomialTail(3, 3, 0.2)).toBeCloseTo(0.008, 12);
  });
});

describe("steadyLines(timeline, series, 4)", () => {
  it.each([0, 0.9, -1.7])("finds a line 12 dB clear that drifts by %d Hz over the minute", (driftHz) => {
    const x = lineInNoise({ hz: 81.3, driftHz, amplitude: 0.4 }, 3);
    const lines = steadyLines(seriesTimeline({ roll: x }, RATE), x, 4);
    expect(lines.map((l) => l.frequencyHz)).toEqual([expect.closeTo(81.3, 0)]);
    expect(Math.abs(lines[0]!.driftHz - driftHz)).toBeLessThan(0.3);
  });

  it("finds none in plain noise, ten times over", () => {
    for (let seed = 0; seed < 10; seed++) {
      const x = lineInNoise({ hz: 50, driftHz: 0, amplitude: 0 }, 100 + seed);
      expect(steadyLines(seriesTimeline({ roll: x }, RATE), x, 4)).toEqual([]);
    }
  });

  it.each([
    [60, 0.005],
    [90, 0.01],
    [45, 0.004],
  ])("takes no resonance at %d Hz, damping ratio %d, for a line", (hz, dampingRatio) => {
    for (let seed = 0; seed < 4; seed++) {
      const x = resonance(hz, dampingRatio, seed);
      expect(steadyLines(seriesTimeline({ roll: x }, RATE), x, 4)).toEqual([]);
    }
  });
});

describe("findTones(timeline, isLine)", () => {
  it("joins the axes that show a tone and leaves out what turns", () => {
    const roll = lineInNoise({ hz: 81.3, driftHz: 0.5, amplitude: 0.4 }, 5);
    const yaw = lineInNoise({ hz: 81.3, driftHz: 0.5, amplitude: 0.4 }, 6);
    const timeline = seriesTimeline({ roll, yaw }, RATE);
    expect(findTones(timeline, () => false).map((t) => t.axes)).toEqual([["roll", "yaw"]]);
    expect(findTones(timeline, () => true)).toEqual([]);
  });
});
