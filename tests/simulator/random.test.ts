import { describe, expect, test } from "vitest";
import { randomStream } from "../../simulator/random.js";
import { slowDensity, slowNoise } from "../../simulator/slow.js";

describe("randomStream(seed, label)", () => {
  const n = 400_000;
  const draws = Float64Array.from(
    { length: n },
    (
      (r) => () =>
        r.normal()
    )(randomStream(1, "test")),
  );
  const mean = (power: number): number => draws.reduce((sum, v) => sum + v ** power, 0) / n;

  test("draws standard normal numbers: moments", () => {
    expect(Math.abs(mean(1))).toBeLessThan(0.007);
    expect(Math.abs(mean(2) - 1)).toBeLessThan(0.01);
    expect(Math.abs(mean(3))).toBeLessThan(0.03);
    expect(Math.abs(mean(4) - 3)).toBeLessThan(0.1);
  });

  // Two-sided tail probabilities of the normal law: 0.317311 (1σ), 0.0455003 (2σ), 4.65e-4 (3.5σ).
  test.each([
    [1, 0.317311],
    [2, 0.0455003],
    [3.5, 4.65e-4],
  ])("draws standard normal numbers: tail beyond %d", (limit, share) => {
    const found = draws.filter((v) => Math.abs(v) > limit).length;
    expect(Math.abs(found - share * n)).toBeLessThan(4 * Math.sqrt(share * n));
  });

  test("is uncorrelated from draw to draw", () => {
    let sum = 0;
    for (let i = 1; i < n; i++) sum += draws[i]! * draws[i - 1]!;
    expect(Math.abs(sum / n)).toBeLessThan(0.007);
  });

  test("repeats itself, and differs by seed and by label", () => {
    const first = (seed: number, label: string): number => randomStream(seed, label).uniform();
    expect(first(1, "a")).toBe(first(1, "a"));
    expect(first(1, "a")).not.toBe(first(2, "a"));
    expect(first(1, "a")).not.toBe(first(1, "b"));
  });
});

describe("slowNoise(random, length, options)", () => {
  test("has unit variance", () => {
    const x = slowNoise(randomStream(2, "slow"), 400_000, { rate: 500, cutoffHz: 3 });
    expect(Math.abs(x.reduce((sum, v) => sum + v * v, 0) / x.length - 1)).toBeLessThan(0.1);
  });

  test("slowDensity integrates to 1", () => {
    let sum = 0;
    for (let f = 0.005; f < 200; f += 0.01) sum += 0.01 * slowDensity(f, 2);
    expect(sum).toBeCloseTo(1, 3);
  });
});
