import { describe, expect, it } from "vitest";
import { angleVariance } from "../../src/verdict/footage.js";
import {
  craftFocalPixels,
  focalPixels,
  focalPixelsFromField,
  PEAK_TO_PEAK,
  rateToPixels,
  rmsRateFor,
  rollingShutterPhase,
  smearInExposure,
} from "../../src/verdict/footage-optics.js";

describe("focalPixels(focalMm, sensorWidthMm, widthPx)", () => {
  it("is f · width / sensor: 50 mm, 22.3 mm, 1920 px (OpenCV Q&A, answer 17180)", () => {
    expect(focalPixels(50, 22.3, 1920)).toBeCloseTo(4304.9327, 3);
  });
  it("inverts a calibrated camera: 5192 px, 23.5 mm, 6000 px is a 20 mm lens (OpenCV Q&A, 2017-04-11)", () => {
    expect(focalPixels(20.335333333333335, 23.5, 6000)).toBeCloseTo(5192, 6);
  });
  it("agrees with the field of view: 60 degrees over 1920 px", () => {
    expect(focalPixelsFromField(1920, 60)).toBeCloseTo(1662.7687752661222, 8);
  });
  it("is unknown when the craft file leaves a number out", () => {
    expect(craftFocalPixels({ camera: { focalMm: 35, widthPx: 6000 } })).toBeNull();
    expect(craftFocalPixels({})).toBeNull();
  });
});

// Closed forms: A = rate / (2πf), pixels = A · f_px; flat density over a band; 2A sin(πfT) in an exposure.
describe("rateToPixels(rateDps, hz, focalPx)", () => {
  it.each([
    [1, 80, 4304.932735426009, 0.14947683109118085],
    [1, 80, 5192, 0.1802777777777778],
    [0.5, 120, 4304.9, 0.049825231481481484],
    [5, 30, 3000, 1.3888888888888888],
  ])("turns %f deg/s at %f Hz into pixels of a %f px lens", (rate, hz, focal, px) => {
    expect(rateToPixels(rate, hz, focal)).toBeCloseTo(px, 10);
  });
  it("is undone by rmsRateFor, peak to peak of a sine for its RMS", () => {
    const rms = rmsRateFor(3, 42, 3733);
    expect(rateToPixels(rms, 42, 3733) * PEAK_TO_PEAK).toBeCloseTo(3, 12);
    expect(rmsRateFor(1, 39, 3733)).toBeCloseTo(1.33, 2);
  });
});

describe("smearInExposure(amplitudePx, hz, exposureS)", () => {
  it.each([
    [0.14947683109118085, 80, 0.0005, 0.03746882916720605],
    [0.14947683109118085, 80, 0.002, 0.14402202514251577],
    [0.14947683109118085, 80, 0.01, 0.2989536621823617],
    [1.3888888888888888, 30, 0.01, 2.2472694288192985],
  ])("of %f px at %f Hz in %f s", (amplitude, hz, exposure, smear) => {
    expect(smearInExposure(amplitude, hz, exposure)).toBeCloseTo(smear, 10);
  });
});

describe("rollingShutterPhase(hz, readoutS)", () => {
  it("is 481 degrees for 80 Hz and 16.7 ms", () => {
    expect(rollingShutterPhase(80, 0.0167)).toBeCloseTo(480.96, 6);
  });
});

describe("angleVariance(density, fromHz, toHz)", () => {
  it.each([
    [1e-4, 50, 150, 0.013807973187969],
    [1e-3, 20, 200, 0.0802170753028237],
  ])("of a flat density %f from %f to %f Hz gives the pixels of a 4304.9 px lens", (s, low, high, px) => {
    expect(Math.sqrt(angleVariance(s, low, high)) * 4304.9).toBeCloseTo(px, 8);
  });
});
