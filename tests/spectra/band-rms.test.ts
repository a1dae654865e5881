import { describe, expect, it } from "vitest";
import { bandRms } from "../../src/spectra/band-rms.js";
import type { Spectrum } from "../../src/spectra/spectrum.js";
import { welch } from "../../src/spectra/welch.js";
import { parkMiller, vector } from "../vectors/vector.js";

/** A spectrum that is given, not measured. */
function given(density: (hz: number) => number, spacing: number, bins: number): Spectrum {
  const frequency = Float64Array.from({ length: bins }, (_, k) => k * spacing);
  const values = frequency.map(density);
  const shared = { edof: 100, averages: 50, resolution: 1.5 * spacing, unit: "g²/Hz" };
  return { frequency, density: values, lower: values, upper: values, ...shared };
}

/** Straight segments on log-log paper: [f1, level1, f2, level2]. */
type Segment = [number, number, number, number];
function onSegments(segments: Segment[]): (hz: number) => number {
  return (hz) => {
    const segment = segments.find(([from, , to]) => hz >= from && hz <= to);
    if (!segment) return 0;
    const [f1, p1, f2, p2] = segment;
    return p1 * (hz / f1) ** (Math.log(p2 / p1) / Math.log(f2 / f1));
  };
}

describe("bandRms(spectrum, from, to) gives the overall level of published test spectra", () => {
  const { rows } = vector<{
    rows: { name: string; segments: Segment[]; published_grms: number; computed_grms: number }[];
  }>("psd_integrals");
  // NAVMAT P-9492, random vibration section: printed 6.0 g rms; Intel BTX thermal/mechanical guide, section 5.2.1.1:
  // 2.2 g rms; MIL-STD-810 method 514, minimum integrity: 7.7 g rms (from memory). The closed-form integrals are 6.064,
  // 2.2076 and 7.697.
  it.each(rows)("$name", ({ segments, published_grms, computed_grms }) => {
    const spectrum = given(onSegments(segments), 0.05, 50_000);
    const { rms } = bandRms(spectrum, segments[0]![0], segments.at(-1)![2]);
    expect(Math.abs(rms / computed_grms - 1)).toBeLessThan(1e-3);
    expect(Math.abs(rms - published_grms)).toBeLessThan(0.1);
  });
});

describe("bandRms(spectrum, from, to)", () => {
  it("is 2 for a flat density of 1 between 10 and 14 Hz, ends inside bins included", () => {
    const flat = given(() => 1, 1, 101);
    expect(bandRms(flat, 10, 14).rms).toBeCloseTo(2, 12);
    expect(bandRms(flat, 10.3, 14.3).rms).toBeCloseTo(2, 12);
    expect(bandRms(flat, 10.1, 10.2).rms ** 2).toBeCloseTo(0.1, 12);
  });

  it("over the whole axis is the standard deviation of the windowed series", () => {
    const x = parkMiller(1024, 9);
    const mean = x.reduce((sum, v) => sum + v, 0) / 1024;
    const sd = Math.sqrt(x.reduce((sum, v) => sum + (v - mean) ** 2, 0) / 1024);
    const spectrum = welch(x, { sampleRate: 200, segmentLength: 1024, window: "boxcar" });
    expect(bandRms(spectrum, 0, 100, "boxcar").rms).toBeCloseTo(sd, 12);
  });

  it("reads a sine's A/√2 from a band around it", () => {
    const sine = Float64Array.from({ length: 8192 }, (_, n) => 3 * Math.sin((2 * Math.PI * 30.3 * n) / 200));
    const spectrum = welch(sine, { sampleRate: 200, segmentLength: 512 });
    expect(bandRms(spectrum, 20, 40).rms).toBeCloseTo(3 / Math.SQRT2, 3);
  });

  it("has an interval that holds the true level of white noise 95 % of the time", () => {
    const truth = Math.sqrt((1 / 6) * 0.05);
    let inside = 0;
    const trials = 400;
    for (let trial = 0; trial < trials; trial++) {
      const spectrum = welch(parkMiller(2048, 7919 * (trial + 3)), { sampleRate: 1, segmentLength: 256 });
      const { ci95 } = bandRms(spectrum, 0.1, 0.15);
      if (ci95[0] <= truth && truth <= ci95[1]) inside++;
    }
    // ±3 standard deviations of a proportion of 0.95 in 400 trials
    expect(Math.abs(inside / trials - 0.95)).toBeLessThan(0.033);
  });

  it("knows that a lone line leaves no more freedom than its own bins have", () => {
    const line = given((hz) => (hz === 50 ? 1 : 1e-9), 1, 101);
    expect(bandRms(line, 20, 80).edof).toBeCloseTo(100, 3);
    const flat = given(() => 1, 1, 1001);
    // 2 · (4/9 + 1/36) + 1 = 1.944 bins share their noise under a Hann window
    expect(bandRms(flat, 100, 600).edof / (500 * 100)).toBeCloseTo(1 / 1.944, 2);
  });

  it("says NaN for an empty band and for a spectrum without averages", () => {
    expect(
      bandRms(
        given(() => 1, 1, 11),
        5,
        5,
      ).rms,
    ).toBeNaN();
    expect(bandRms(welch(new Float64Array(4), { sampleRate: 1, segmentLength: 8 }), 0, 1).rms).toBeNaN();
  });
});
