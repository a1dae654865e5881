import { readFileSync } from "node:fs";
import { expect } from "vitest";

/** Reads a file of reference values. */
export function vector<T>(name: string): T {
  return JSON.parse(readFileSync(new URL(`./${name}.json`, import.meta.url), "utf8")) as T;
}

/** The tolerance that the reference values are good for. */
export const RELATIVE = 1e-9;
export const ABSOLUTE = 1e-12;

/** Every value within `relative` of its reference, or within `absolute` of it (scaled by the largest). */
export function expectClose(
  actual: ArrayLike<number>,
  expected: ArrayLike<number>,
  { relative = RELATIVE, absolute = ABSOLUTE } = {},
): void {
  expect(actual.length).toBe(expected.length);
  const largest = Math.max(1, ...Array.from(expected, Math.abs));
  for (let i = 0; i < expected.length; i++) {
    const allowed = Math.max(relative * Math.abs(expected[i]!), absolute * largest);
    const error = Math.abs(actual[i]! - expected[i]!);
    expect(error <= allowed, `[${i}]: ${actual[i]} against ${expected[i]}, error ${error}`).toBe(true);
  }
}

/**
 * The reference noise: Park and Miller's minimal standard generator, s ← 16807 s mod (2³¹ − 1), u = s / (2³¹ − 1) − ½.
 * Zero mean, uniform, variance 1/12.
 *
 * @see S. K. Park, K. W. Miller, Comm. ACM 31(10), 1988
 */
export function parkMiller(count: number, seed: number): Float64Array {
  let state = seed;
  return Float64Array.from({ length: count }, () => {
    state = (16807 * state) % 2147483647;
    return state / 2147483647 - 0.5;
  });
}
