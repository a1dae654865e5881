import { describe, expect, it } from "vitest";
import { dunkerley, loadedMode, loadedSpeedFactor } from "../../src/verdict/payload.js";
import { gapOf, pushBands, separationOf } from "../../src/verdict/push-bands.js";

describe("dunkerley(frequencies)", () => {
  it("gives 1180 cpm for a wing of 1600 cpm with a tank of 1745 cpm (Thomson, Theory of Vibration, ex. 12.2-4)", () => {
    expect(Math.abs(dunkerley([1600, 1745]) - 1180)).toBeLessThan(2);
  });
  it("gives ω² = 2.414 EI/(M L³) for a cantilever with an equal tip mass (Thomson, section 12.2: 2.41)", () => {
    const beam = Math.sqrt(12.362363368326182);
    const tip = Math.sqrt(3);
    expect(dunkerley([beam, tip]) ** 2).toBeCloseTo(2.414152641477286, 9);
  });
  it("never lies above the exact frequency, nor more than 0.4 % below (frequency equation of the tip-mass beam)", () => {
    const exact: [number, number][] = [
      [0.05, 10.293137448572658],
      [0.2, 6.826451387000613],
      [1, 2.4251766284947327],
      [10, 0.2930869262482537],
    ];
    for (const [mu, omega2] of exact) {
      const bound = dunkerley([Math.sqrt(12.362363368326182), Math.sqrt(3 / mu)]);
      expect(bound / Math.sqrt(omega2)).toBeLessThan(1);
      expect(bound / Math.sqrt(omega2)).toBeGreaterThan(0.996);
    }
  });
});

describe("loadedSpeedFactor(massKg, payloadKg)", () => {
  it("is the root of the mass ratio: 10 kg and 4.4 kg turn 1.2 times as fast", () => {
    expect(loadedSpeedFactor(10, 4.4)).toBeCloseTo(1.2, 12);
  });
});

describe("loadedMode(frequencyHz, massKg, payloadKg)", () => {
  it("lies between the mode unloaded and f · √(m / (m + p))", () => {
    const [low, high] = loadedMode(100, 10, 4.4);
    expect(low).toBeCloseTo(100 / 1.2, 9);
    expect(high).toBe(100);
  });
  it("does not move without payload", () => {
    expect(loadedMode(100, 10, 0)).toEqual([100, 100]);
  });
});

describe("separationOf(mode, band)", () => {
  const mode = { frequencyHz: 250, ci95Hz: [249, 251] as const };
  it("is 0 inside, and when the interval touches the band", () => {
    expect(separationOf(mode, [200, 300])).toBe(0);
    expect(separationOf(mode, [200, 249.5])).toBe(0);
  });
  it("is a share of the mode's frequency by the worse end of its interval", () => {
    expect(separationOf(mode, [180, 210])).toBeCloseTo(1 - 210 / 249, 12);
    expect(separationOf(mode, [300, 400])).toBeCloseTo(300 / 251 - 1, 12);
  });
});

describe("gapOf(mode, band)", () => {
  it("lets the band lie a hundredth wider or narrower", () => {
    const { value, ci95 } = gapOf({ frequencyHz: 250, ci95Hz: [250, 250] }, [180, 210]);
    expect(value).toBeCloseTo(0.16, 12);
    expect(ci95[0]).toBeCloseTo(1 - 212.1 / 250, 12);
    expect(ci95[1]).toBeCloseTo(1 - 207.9 / 250, 12);
  });
  it("is never less than nothing", () => {
    expect(gapOf({ frequencyHz: 200, ci95Hz: [199, 201] }, [180, 210])).toEqual({ value: 0, ci95: [0, 0] });
  });
});

describe("pushBands(cruise, blades)", () => {
  it("knows once per turn and blade pass", () => {
    expect(pushBands([60, 70], 3).map((band) => band.bandHz)).toEqual([
      [60, 70],
      [180, 210],
    ]);
  });
  it("leaves blade pass out when nobody says how many blades", () => {
    expect(pushBands([60, 70], null)).toHaveLength(1);
  });
});
