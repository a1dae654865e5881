import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { complexFft, isPowerOfTwo, nearestPowerOfTwo, realFft } from "../../src/spectra/fft.js";
import { parkMiller } from "../vectors/vector.js";

/** The transform straight from its definition; the angle is reduced first to keep it exact. */
function definition(x: Float64Array, bin: number): [number, number] {
  let [re, im] = [0, 0];
  x.forEach((value, n) => {
    const angle = (2 * Math.PI * ((bin * n) % x.length)) / x.length;
    re += value * Math.cos(angle);
    im -= value * Math.sin(angle);
  });
  return [re, im];
}

describe("realFft(size).forward", () => {
  it.each([1, 2, 3, 4, 5, 6, 7, 8, 16, 31, 63, 64, 100, 250, 1001, 1024, 2000])(
    "gives the sums of its definition for %i samples",
    (size) => {
      const x = parkMiller(size, size);
      const plan = realFft(size);
      const out = new Float64Array(2 * plan.bins);
      plan.forward(x, out);
      expect(plan.bins).toBe(Math.floor(size / 2) + 1);
      for (let k = 0; k < plan.bins; k++) {
        const [re, im] = definition(x, k);
        expect(Math.hypot(re - out[2 * k]!, im - out[2 * k + 1]!)).toBeLessThan(1e-12 * size);
      }
    },
  );

  it("gives 1 in every bin for a unit impulse and leaves its input as it was", () => {
    const x = Float64Array.of(1, 0, 0, 0);
    const out = new Float64Array(6);
    realFft(4).forward(x, out);
    expect([...out]).toEqual([1, 0, 1, 0, 1, 0]);
    expect([...x]).toEqual([1, 0, 0, 0]);
  });

  it("keeps the energy of any series (Parseval)", () => {
    const values = fc.array(fc.double({ min: -1e3, max: 1e3, noNaN: true }), {
      minLength: 1,
      maxLength: 300,
    });
    fc.assert(
      fc.property(values, (list) => {
        const x = Float64Array.from(list);
        const plan = realFft(x.length);
        const out = new Float64Array(2 * plan.bins);
        plan.forward(x, out);
        let energy = 0;
        for (let k = 0; k < plan.bins; k++) {
          const mirrored = k > 0 && 2 * k < x.length ? 2 : 1;
          energy += mirrored * (out[2 * k]! ** 2 + out[2 * k + 1]! ** 2);
        }
        const expected = x.reduce((sum, v) => sum + v * v, 0);
        expect(Math.abs(energy / x.length - expected)).toBeLessThanOrEqual(1e-11 * expected + 1e-12);
      }),
    );
  });

  it("refuses a length that is none", () => {
    expect(() => realFft(0)).toThrow(RangeError);
    expect(() => realFft(2.5)).toThrow(RangeError);
  });
});

describe("complexFft(size)", () => {
  it.each([1, 2, 3, 12, 64, 97, 1000])("inverse undoes forward for %i samples", (size) => {
    const plan = complexFft(size);
    const x = parkMiller(2 * size, 5);
    const spectrum = new Float64Array(2 * size);
    const back = new Float64Array(2 * size);
    plan.forward(x, spectrum);
    plan.inverse(spectrum, back);
    expect(Math.max(...back.map((v, i) => Math.abs(v - x[i]!)))).toBeLessThan(1e-14 * size + 1e-15);
  });
});

describe("nearestPowerOfTwo(n)", () => {
  it("rounds on a log scale and is never below 2", () => {
    expect([1, 2, 3, 101, 500, 2000, 3200].map(nearestPowerOfTwo)).toEqual([2, 2, 4, 128, 512, 2048, 4096]);
    expect([1, 2, 3, 1024, 1000].map(isPowerOfTwo)).toEqual([true, true, false, true, false]);
  });
});
