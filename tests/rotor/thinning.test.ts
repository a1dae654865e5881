import { expect, test } from "vitest";
import { averaged, averagingGain, thinning } from "../../src/rotor/thinning.js";

test("thinning keeps eight samples for every turn of the fastest line", () => {
  expect(thinning([Float32Array.of(100)], 1, 8000)).toBe(10);
  expect(thinning([Float32Array.of(100)], 2, 8000)).toBe(5);
  expect(thinning([Float32Array.of(300)], 1, 1000)).toBe(1);
  expect(thinning([Float32Array.of(Number.NaN)], 1, 1000)).toBe(1);
});

test("averagingGain is what averaged leaves of a sine", () => {
  const [f, every, rate] = [100, 10, 8000];
  const sine = Float32Array.from({ length: 8000 }, (_, i) => Math.sin((2 * Math.PI * f * i) / rate));
  const thin = Array.from(averaged(sine, { start: 0, length: 800, every }));
  const rms = Math.sqrt(thin.reduce((sum, v) => sum + v * v, 0) / thin.length);
  expect(averagingGain(f, every, rate)).toBeCloseTo(0.9747, 4);
  expect(rms * Math.SQRT2).toBeCloseTo(averagingGain(f, every, rate), 4);
});
