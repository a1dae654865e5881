import { expect, test } from "vitest";
import { randomStream } from "../../simulator/random.js";
import { rowIndex } from "../../src/decode/clock.js";

const N = 5000;
const even = (step: number, start = 12.5): Float64Array =>
  Float64Array.from({ length: N }, (_, i) => start + i * step);
const without = (
  time: Float64Array,
  lost: (i: number) => boolean,
): { time: Float64Array; kept: number[] } => {
  const kept = Array.from(time.keys()).filter((i) => !lost(i));
  return { time: Float64Array.from(kept, (i) => time[i]!), kept };
};

test("rowIndex(even clock) is the identity with the exact step", () => {
  const clock = rowIndex(even(1 / 3200));
  expect(clock.index).toBeNull();
  expect(clock.length).toBe(N);
  expect(clock.step).toBeCloseTo(1 / 3200, 12);
});

test.each([0.0005, 0.005, 0.05])("rowIndex finds which rows were lost when a share of %d is", (share) => {
  const random = randomStream(3, `lost ${share}`);
  const { time, kept } = without(even(0.0005), (i) => i > 0 && i < N - 1 && random.uniform() < share);
  const clock = rowIndex(time);
  expect(Array.from(clock.index!)).toEqual(kept);
  expect(clock.length).toBe(N);
});

test("rowIndex finds the gaps of a log recorded in bursts", () => {
  const { time, kept } = without(even(0.001), (i) => i % 700 > 500);
  expect(Array.from(rowIndex(time).index!)).toEqual(kept);
});

test("rowIndex follows a clock that drifts by 200 ppm", () => {
  const time = Float64Array.from({ length: 200_000 }, (_, i) => i * 0.0005 * (1 + 1e-9 * i));
  expect(rowIndex(time).index).toBeNull();
});

test("rowIndex is not misled by stamps in whole milliseconds at 2 kHz, nor by jitter of a fifth of a step", () => {
  const coarse = even(0.0005, 0).map((t) => Math.floor(t * 1000 + 1e-9) / 1000);
  const a = rowIndex(coarse);
  expect(a.length).toBe(N);
  expect(a.repeated).toBe(0);
  expect(a.step).toBeCloseTo(0.0005, 6);
  const random = randomStream(5, "jitter");
  const jittered = even(0.001).map((t) => t + 0.0002 * (random.uniform() - 0.5));
  expect(rowIndex(jittered).length).toBe(N);
});

test("rowIndex leaves out rows whose time stands still, and counts them", () => {
  const time = [...even(0.001, 0).subarray(0, 100)];
  time.splice(50, 0, time[49]!, time[49]!);
  const clock = rowIndex(Float64Array.from(time));
  expect(clock.repeated).toBe(2);
  expect(clock.length).toBe(100);
  expect(clock.index?.[50]).toBe(-1);
});

test("rowIndex(time that never advances) throws RangeError", () => {
  expect(() => rowIndex(new Float64Array(200).fill(4))).toThrow(RangeError);
});

test.each([
  [1000, 0.01],
  [3200, 0.001],
  [8000, 0.001],
])("rowIndex finds %d Hz behind stamps of %d s, within one row in all", (rate, grain) => {
  const time = Float64Array.from({ length: 30_000 }, (_, i) => Math.floor(i / rate / grain + 1e-9) * grain);
  const clock = rowIndex(time);
  expect(Math.abs(clock.step * rate - 1)).toBeLessThan(1 / 30_000);
  expect(clock.length).toBe(30_000);
});

test("rowIndex keeps a row whose stamp stood still when the next one leaves room for it", () => {
  const time = Float64Array.from({ length: 5000 }, (_, i) => (i % 20 === 7 ? i - 1 : i) / 1000);
  expect(rowIndex(time)).toMatchObject({ length: 5000, repeated: 0, index: null });
});
