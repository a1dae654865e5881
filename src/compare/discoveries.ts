import { benjaminiHochberg } from "../stats/benjamini-hochberg.js";
import { chiSquareCdf } from "../stats/chi-square-cdf.js";

/** Marks which of a family of tests the false-discovery bound keeps. */
export function withDiscoveries<T extends { readonly pValue: number }>(
  tests: readonly T[],
  bound: number,
): (T & { readonly significant: boolean })[] {
  const { rejected } = benjaminiHochberg(
    tests.map((t) => t.pValue),
    bound,
  );
  return tests.map((test, i) => ({ ...test, significant: rejected[i] === 1 }));
}

/** Two-sided p-value of a normal deviate. */
export function normalPValue(z: number): number {
  // P(|Z| > z) = P(χ² with one degree of freedom > z²)
  return Math.min(1, Math.max(0, 1 - chiSquareCdf(z * z, 1)));
}
