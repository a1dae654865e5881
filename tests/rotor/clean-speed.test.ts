import { describe, expect, it } from "vitest";
import { cleanSpeed } from "../../src/rotor/clean-speed.js";

const RATE = 2000;
const LENGTH = 20 * RATE;
const whole = [{ from: 0, to: LENGTH }];
/** A slow sweep, 60 to 80 Hz and back in 20 s. */
const sweep = (i: number): number => 70 - 10 * Math.cos((2 * Math.PI * i) / LENGTH);

describe("cleanSpeed of a report in steps of 100 rpm", () => {
  const step = 100 / 60;
  const raw = Float32Array.from({ length: LENGTH }, (_, i) => step * Math.round(sweep(i - (i % 10)) / step));
  it("loses less than the twentieth that raises a doubt where the speed creeps from step to step, and keeps within a step of the truth", () => {
    const { hz, lostS } = cleanSpeed(raw, RATE, whole);
    expect(lostS).toBeLessThan(LENGTH / RATE / 20);
    const inner = [...hz.subarray(RATE, LENGTH - RATE)];
    expect(Math.max(...inner.map((v, k) => Math.abs(v - sweep(k + RATE))))).toBeLessThan(step);
  });
  it("does not trust a value that froze for three seconds and then jumped", () => {
    const frozen = raw.map((v, i) => (i >= 5 * RATE && i < 8 * RATE ? raw[5 * RATE]! : v));
    expect(cleanSpeed(frozen, RATE, whole).lostS).toBeGreaterThan(2);
  });
});
