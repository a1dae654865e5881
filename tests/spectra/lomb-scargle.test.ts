import { describe, expect, it } from "vitest";
import { lombScargle } from "../../src/spectra/lomb-scargle.js";
import { expectClose, vector } from "../vectors/vector.js";

describe("lombScargle(times, values, frequencies)", () => {
  it("agrees with SciPy 1.10.1 signal.lombscargle on uneven times", () => {
    const r = vector<{ t: number[]; y: number[]; f: number[]; P: number[] }>("lombscargle");
    expectClose(lombScargle(r.t, r.y, r.f), r.P);
  });

  it("is N A² / 4 at the frequency of a sine", () => {
    const times = Array.from({ length: 1000 }, (_, n) => 0.01 * n + 0.002 * Math.sin(7 * n));
    const sine = times.map((t) => 3 * Math.sin(2 * Math.PI * 11 * t));
    expect(lombScargle(times, sine, [11])[0]! / ((1000 * 9) / 4)).toBeCloseTo(1, 2);
  });

  it("refuses times and values that differ in number", () => {
    expect(() => lombScargle([1, 2], [1], [1])).toThrow(RangeError);
  });
});
