import { expect, test } from "vitest";
import { randomStream } from "../../simulator/random.js";
import { turned } from "../../src/rotor/turned.js";

test("turned gives cosine and sine to the last bits, whatever the angle's size and sign", () => {
  const random = randomStream(1, "angles");
  for (const size of [1e-3, 1, 30, 1e3, 1e6]) {
    const angles = Float64Array.from({ length: 5000 }, () => random.between(-size, size));
    const { cos, sin } = turned(angles.slice());
    const bound = 5e-16 + 4e-16 * size;
    for (const [n, angle] of angles.entries()) {
      expect(Math.abs(cos[n]! - Math.cos(angle))).toBeLessThan(bound);
      expect(Math.abs(sin[n]! - Math.sin(angle))).toBeLessThan(bound);
    }
  }
});

test("turned gives a half for the cosine of a third of a half turn, and NaN for NaN", () => {
  const { cos, sin } = turned(Float64Array.of(Math.PI / 3, Number.NaN));
  expect(cos[0]).toBeCloseTo(0.5, 15);
  expect(cos[1]).toBeNaN();
  expect(sin[1]).toBeNaN();
});
