import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { permissibleUnbalance } from "../../src/rotor/balance-grade.js";
import { crossingHz } from "../../src/rotor/crossings.js";
import { loadedSpeedHz } from "../../src/rotor/expected-band.js";
import { fold } from "../../src/rotor/fold.js";
import {
  bladePassHz,
  hzToRpm,
  mechanicalSpeed,
  polePairsOf,
  rpmToHz,
} from "../../src/rotor/order-arithmetic.js";

const vector = <T>(name: string): T =>
  JSON.parse(readFileSync(join(import.meta.dirname, "../vectors", name), "utf8")) as T;

/** Fold formula |f − fs·round(f/fs)|: DSP Stack Exchange answer by D. Sarwate; SFU aliasing note (as printed there). */
test.each(vector<{ rows: { f: number; fs: number; alias: number }[] }>("alias.json").rows)(
  "fold($f, $fs) is $alias",
  ({ f, fs, alias }) => {
    expect(fold(f, fs)).toBeCloseTo(alias, 9);
  },
);

test("fold leaves a line below Nyquist where it is (a public homework page prints 80 Hz for 10 Hz at 90: wrong)", () => {
  expect(fold(10, 90)).toBe(10);
});

test("fold sends a rising blade-pass line down in a slow log: 620 Hz at 1 kHz is 380, 1240 is 240", () => {
  expect(fold(620, 1000)).toBe(380);
  expect(fold(1240, 1000)).toBe(240);
  expect(fold(630, 1000)).toBeLessThan(fold(620, 1000));
});

/** WIDIA tooling catalogue p. K53 after ISO 1940-1 (2 kg, 10 000 rpm, G6.3: 12 g·mm); the others from the definition in ISO 21940-11. */
test.each(
  vector<{
    unbalance: { mass_kg: number; G_mm_s: number; rpm: number; U_per_g_mm: number; force_N: number }[];
  }>("rotor.json").unbalance,
)(
  "permissibleUnbalance($mass_kg kg, G$G_mm_s, $rpm rpm) is $U_per_g_mm g·mm",
  ({ mass_kg, G_mm_s, rpm, U_per_g_mm, force_N }) => {
    const { unbalanceGmm, forceN } = permissibleUnbalance(mass_kg, G_mm_s, rpm / 60);
    expect(unbalanceGmm / U_per_g_mm).toBeCloseTo(1, 9);
    expect(forceN / force_N).toBeCloseTo(1, 9);
  },
);

test("blade pass is blades times rotation", () => {
  // Sanyo Denki, "Designing for optimized fan acoustics", slide 10: 2400 rpm, 7 blades: 280, 560, 840 Hz.
  expect([1, 2, 3].map((k) => k * bladePassHz(rpmToHz(2400), 7))).toEqual([280, 560, 840]);
  // A measured 4-blade fan: rotation 26 Hz, blade pass 105 Hz as quoted (±0.5 Hz each: 4 · 26 = 104).
  expect(Math.abs(bladePassHz(26, 4) - 105)).toBeLessThanOrEqual(4 * 0.5);
  // engineerfix.com, blade pass article: 5 blades at 1200 rpm.
  expect(bladePassHz(rpmToHz(1200), 5)).toBe(100);
});

test("electrical speed is divided by pole pairs, half the poles", () => {
  // electrifiedboost.com thread 164: 80 000 electrical rpm over 2 pole pairs; 42 000 over 7 by the definition.
  expect(mechanicalSpeed(80_000, 4)).toBe(40_000);
  expect(mechanicalSpeed(42_000, 14)).toBe(6000);
  // n = 120 f / p takes poles: 8 poles (4 pairs) at 50 Hz turn 750 rpm, not the 1500 that a public page prints.
  expect(hzToRpm(mechanicalSpeed(50, 8))).toBe(750);
  expect(() => polePairsOf(7)).toThrow(RangeError);
});

/** Crossing speeds of a Campbell diagram for 87.5 Hz: from the definition. */
test.each(vector<{ campbell: { fn: number; order: number; rpm: number }[] }>("order_tracking.json").campbell)(
  "order $order meets $fn Hz at $rpm rpm",
  ({ fn, order, rpm }) => {
    expect(hzToRpm(crossingHz(fn, order))).toBeCloseTo(rpm, 9);
  },
);

test("loadedSpeedHz(400 Kv, 6 cells) holds the rule of thumb's 111 Hz (common practice, no source)", () => {
  const [low, high] = loadedSpeedHz(400, 6);
  expect(low).toBeLessThan(111);
  expect(high).toBeGreaterThan(111);
});
