import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { lowPass1, lowPass2, notch, notchByWidth } from "../../src/filters/biquad.js";
import {
  type Chain,
  cornerAt,
  describeChain,
  rotorNotchCentres,
  sectionsOf,
} from "../../src/filters/chain.js";
import { dcDelay } from "../../src/filters/dc-delay.js";
import { lagDeg } from "../../src/filters/delay-meter.js";
import { foldedResponse, foldedTurn } from "../../src/filters/folded-response.js";
import { onePole } from "../../src/filters/one-pole.js";
import { differencePower, frequencyAxis, powerGain } from "../../src/filters/power-gain.js";
import { groupDelay, response } from "../../src/filters/response.js";
import { foldedShareOfWhite, whiteFloor } from "../../src/filters/white-floor.js";

const still = { throttle: null, rotorHz: [] };

describe("sectionsOf()", () => {
  test("moves a corner with throttle in a straight line, held at its ends", () => {
    const corner = { atZeroHz: 75, atFullHz: 110 };
    expect(cornerAt(corner, 0)).toBe(75);
    expect(cornerAt(corner, 0.5)).toBe(92.5);
    expect(cornerAt(corner, 1.2)).toBe(110);
    expect(cornerAt(corner, null)).toBe(92.5);
    expect(cornerAt(40, 1)).toBe(40);
  });

  test("puts one notch on every motor and order, none below its lowest frequency", () => {
    const step = { kind: "rotor notches", orders: [1, 2], q: 5, lowestHz: 100 } as const;
    expect(rotorNotchCentres(step, [90, 120])).toEqual([100, 120, 180, 240]);
    expect(sectionsOf([step], { throttle: null, rotorHz: [90, 120] }, 4000)).toHaveLength(4);
  });

  test("leaves out filters that lie too near half the loop rate to do anything", () => {
    expect(sectionsOf([{ kind: "low-pass", order: 2, corner: 1900 }], still, 4000)).toHaveLength(0);
    expect(sectionsOf([{ kind: "notch", centreHz: 1900, q: 5 }], still, 4000)).toHaveLength(0);
  });

  test("makes each step the filter that it names", () => {
    const low = { kind: "low-pass", corner: 100 } as const;
    expect(sectionsOf([{ ...low, order: 1 }], still, 4000)).toEqual([lowPass1(100, 4000)]);
    expect(sectionsOf([{ ...low, order: 1, form: "recursion" }], still, 4000)).toEqual([onePole(100, 4000)]);
    expect(sectionsOf([{ ...low, order: 2 }], still, 4000)).toEqual([lowPass2(100, 4000)]);
    expect(sectionsOf([{ kind: "notch", centreHz: 200, q: 5 }], still, 4000)).toEqual([notch(200, 4000, 5)]);
  });
});

describe("describeChain()", () => {
  test("says every step in plain words", () => {
    const chain: Chain = {
      gyro: [
        { kind: "rotor notches", orders: [1, 2], q: 5, lowestHz: 60 },
        { kind: "notch", centreHz: 118.4, q: 3 },
      ],
      dterm: [{ kind: "low-pass", order: 2, corner: { atZeroHz: 75, atFullHz: 110 } }],
    };
    expect(describeChain(chain)).toBe(
      "gyro notches on rotor orders 1, 2 (Q 5, not below 60 Hz) + notch 118 Hz (Q 3); " +
        "D-term low-pass 75 to 110 Hz with throttle (2nd order)",
    );
    expect(describeChain({ gyro: [], dterm: [] })).toBe("gyro unfiltered; D-term not filtered further");
  });
});

const rates = fc.double({ min: 1000, max: 16000, noNaN: true });
const shares = fc.double({ min: 0.004, max: 0.44, noNaN: true });
const qs = fc.double({ min: 0.4, max: 12, noNaN: true });

describe("for any filter", () => {
  test("powerGain() is the square of response()", () => {
    fc.assert(
      fc.property(rates, shares, qs, shares, (rate, share, q, at) => {
        const sections = [
          lowPass2(share * rate, rate, q),
          notch(0.7 * share * rate, rate, q),
          lowPass1(share * rate, rate),
        ];
        const hz = at * rate;
        const { re, im } = response(sections, hz, rate);
        const [gain] = powerGain(sections, frequencyAxis(Float64Array.of(hz), rate));
        const wanted = re * re + im * im;
        expect(Math.abs(gain! - wanted)).toBeLessThan(1e-8 + 1e-4 * wanted);
      }),
      { seed: 1 },
    );
  });

  test("groupDelay() is the slope of the phase, and dcDelay() its value at zero", () => {
    fc.assert(
      fc.property(rates, shares, qs, shares, (rate, share, q, at) => {
        const section = notchByWidth(share * rate, rate, Math.max(1, q));
        const hz = at * rate;
        const step = 1e-6 * rate;
        if (Math.abs(hz - share * rate) < 100 * step) return;
        const slope = (lagDeg([section], hz + step, rate) - lagDeg([section], hz - step, rate)) / (2 * step);
        const delay = groupDelay([section], hz, rate)!;
        expect(Math.abs((slope / 360) * rate - delay)).toBeLessThan(1e-3 + 1e-4 * Math.abs(delay));
        expect(groupDelay([section], 0, rate)!).toBeCloseTo(dcDelay(section), 6);
      }),
      { seed: 2 },
    );
  });
});

test("differencePower() is (2π f)² for slow signals", () => {
  const [power] = differencePower(frequencyAxis(Float64Array.of(10), 8000));
  expect(power! / (2 * Math.PI * 10) ** 2).toBeCloseTo(1, 4);
});

describe("white noise folded by a slow log", () => {
  test("foldedShareOfWhite() is what lies above the log's Nyquist", () => {
    expect(foldedShareOfWhite(1000, 4000)).toBe(0.75);
    expect(foldedShareOfWhite(4000, 4000)).toBe(0);
  });

  test("whiteFloor() reads the floor beside a line and a slope", () => {
    const density = Float64Array.from(
      { length: 513 },
      (_, k) => 2 + (k === 400 ? 500 : 0) + 1e5 / (1 + k) ** 2.5,
    );
    expect(whiteFloor(density, 1e6)).toBeCloseTo(2, 1);
  });

  test("foldedResponse() is the mean response over the images when all of the input is white", () => {
    const path = { sections: [lowPass2(100, 4000)], loopRate: 4000, derivative: false };
    const images = [50, 1050, 2050, 3050].map((hz) =>
      response(path.sections, hz > 2000 ? hz - 4000 : hz, 4000),
    );
    const found = foldedResponse(path, 50, { rate: 1000, share: 0.75 });
    expect(found.re).toBeCloseTo(images.reduce((sum, h) => sum + h.re, 0) / 4, 12);
    expect(found.im).toBeCloseTo(images.reduce((sum, h) => sum + h.im, 0) / 4, 12);
  });

  test("foldedTurn() is nothing when nothing folds", () => {
    const path = { sections: [lowPass2(100, 4000)], loopRate: 4000, derivative: true };
    expect(foldedTurn(path, 20, { rate: 1000, folded: 0, input: 1 })).toBeCloseTo(0, 12);
    expect(Math.abs(foldedTurn(path, 20, { rate: 1000, folded: 0.3, input: 1 }))).toBeGreaterThan(1e-4);
  });
});
