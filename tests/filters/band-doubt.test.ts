import { describe, expect, test } from "vitest";
import { rmsInterval } from "../../src/filters/band-doubt.js";

const sure = { white: 0, lines: 0, chance: 0 };
const plain = { common: false, followed: false, unseenSd: 0 };

describe("rmsInterval()", () => {
  test("is two per cent of the RMS to either side when nothing folded", () => {
    const [low, high] = rmsInterval(100, sure, plain);
    expect(low).toBeCloseTo(10 * Math.sqrt(1 - 1.96 * 0.02), 9);
    expect(high).toBeCloseTo(10 * Math.sqrt(1 + 1.96 * 0.02), 9);
  });

  test("is wider for notches that follow the rotors", () => {
    const [low, high] = rmsInterval(100, sure, { ...plain, followed: true });
    expect(high - low).toBeGreaterThan(0.5);
  });

  test("reaches to where there would be no white floor above Nyquist, on the side where that leads", () => {
    const [, high] = rmsInterval(100, { ...sure, white: -40 }, plain);
    expect(high).toBeCloseTo(Math.sqrt(100 + 0.6 * 40 + 1.96 * 2), 9);
    const [low] = rmsInterval(100, { ...sure, white: 40 }, plain);
    expect(low).toBeCloseTo(Math.sqrt(100 - 0.6 * 40 - 1.96 * 2), 9);
  });

  test("doubts folded lines more where only a common speed is known", () => {
    const lines = { ...sure, lines: 30 };
    const width = (common: boolean) => {
      const [low, high] = rmsInterval(100, lines, { ...plain, common });
      return high - low;
    };
    expect(width(true)).toBeGreaterThan(1.5 * width(false));
  });

  test("is wider where frames saw only parts of the flight", () => {
    const [low, high] = rmsInterval(100, sure, { ...plain, unseenSd: 0.1 });
    expect(high - low).toBeGreaterThan(1.8);
  });

  test("never falls below nothing", () => {
    expect(rmsInterval(1, { white: 0, lines: 100, chance: 0 }, plain)[0]).toBe(0);
  });
});
