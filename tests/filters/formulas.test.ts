import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { BUTTERWORTH_Q, lowPass1, lowPass2, notch, notchByWidth } from "../../src/filters/biquad.js";
import { chainDelayMs, dcDelay } from "../../src/filters/dc-delay.js";
import { onePole } from "../../src/filters/one-pole.js";
import { groupDelay, response } from "../../src/filters/response.js";
import { runSections } from "../../src/filters/run-section.js";
import type { Section } from "../../src/filters/section.js";

/** Made with SciPy 1.10.1 and NumPy 1.24.2 by tests/vectors/make_vectors.py; commands inside. */
const vectors = JSON.parse(readFileSync(new URL("../vectors/filters.json", import.meta.url), "utf8"));
/** Closed forms of analogue filters, derived; command inside. */
const closed = JSON.parse(
  readFileSync(new URL("../vectors/delay_closed_forms.json", import.meta.url), "utf8"),
);

const FS = 4000;
const RELATIVE = 1e-9;
const ABSOLUTE = 1e-12;

/** The tolerance the vectors name. */
function expectClose(found: number, wanted: number): void {
  expect(Math.abs(found - wanted)).toBeLessThanOrEqual(ABSOLUTE + RELATIVE * Math.abs(wanted));
}

interface Case {
  readonly command: string;
  readonly b: number[];
  readonly a: number[];
  readonly impulse_response_16: number[];
  readonly f_Hz: number[];
  readonly H: { readonly re: number[]; readonly im: number[] };
  readonly group_delay_samples: (number | null)[];
}

const MAKERS: readonly [command: string, section: Section][] = [
  ["scipy.signal.butter(2,80,fs=4000)", lowPass2(80, FS)],
  ["scipy.signal.butter(2,150,fs=4000)", lowPass2(150, FS)],
  ["scipy.signal.butter(2,250,fs=4000)", lowPass2(250, FS)],
  ["scipy.signal.butter(1,100,fs=4000)", lowPass1(100, FS)],
  [
    "one-pole y+=k(x-y), k=dt/(RC+dt), RC=1/(2pi*100), dt=1/4000 -> b=[k], a=[1,-(1-k)]; DC group delay (1-k)/k samples",
    onePole(100, FS),
  ],
  ["scipy.signal.iirnotch(200,5,fs=4000)", notchByWidth(200, FS, 5)],
  ["scipy.signal.iirnotch(200,2.5,fs=4000)", notchByWidth(200, FS, 2.5)],
  ["RBJ cookbook lpf f0=100 Q=0.707106781187 fs=4000", lowPass2(100, FS)],
  ["RBJ cookbook lpf f0=250 Q=0.5 fs=4000", lowPass2(250, FS, 0.5)],
  ["RBJ cookbook notch f0=200 Q=5 fs=4000", notch(200, FS, 5)],
  ["RBJ cookbook notch f0=320 Q=1 fs=4000", notch(320, FS, 1)],
];

describe.each(MAKERS)("%s", (command, section) => {
  const wanted = vectors.cases.find((c: Case) => c.command === command) as Case;

  test("coefficients are those of the vector", () => {
    wanted.b.forEach((value, k) => {
      expectClose(section.b[k]!, value);
    });
    wanted.a.forEach((value, k) => {
      expectClose(section.a[k]!, value);
    });
  });

  test("response() gives the vector's complex response", () => {
    wanted.f_Hz.forEach((hz, i) => {
      const h = response([section], hz, FS);
      expectClose(h.re, wanted.H.re[i]!);
      expectClose(h.im, wanted.H.im[i]!);
    });
  });

  test("groupDelay() gives the vector's delay, null where the vector has none", () => {
    wanted.f_Hz.forEach((hz, i) => {
      const found = groupDelay([section], hz, FS);
      const value = wanted.group_delay_samples[i]!;
      if (value === null) expect(found).toBeNull();
      // SciPy's own delays carry about 1e-8 of cancellation at low frequency
      else expect(found!).toBeCloseTo(value, 7);
    });
  });

  test("runSections() gives the vector's impulse response", () => {
    const impulse = Float64Array.from({ length: 16 }, (_, n) => (n === 0 ? 1 : 0));
    runSections([section], impulse).forEach((y, n) => {
      expectClose(y, wanted.impulse_response_16[n]!);
    });
  });
});

describe("published values of single filters", () => {
  test("lowPass2(fs/4) has the coefficients 1/(2+√2) and (2−√2)/(2+√2)", () => {
    const { b, a } = lowPass2(1000, FS);
    expectClose(b[0], 1 / (2 + Math.SQRT2));
    expect(a[1]).toBeCloseTo(0, 12);
    expectClose(a[2], (2 - Math.SQRT2) / (2 + Math.SQRT2));
  });

  test("lowPass2 with Q = 1/√2 has the coefficients of the Audio EQ Cookbook", () => {
    const { b, a } = lowPass2(100, FS, BUTTERWORTH_Q);
    expect(b[0]).toBeCloseTo(0.00554271721028, 13);
    expect(a[1]).toBeCloseTo(-1.77863177782, 11);
    expect(a[2]).toBeCloseTo(0.800802646666, 12);
  });

  test("notchByWidth(60, 30 at 200 Hz) is the SciPy manual's example", () => {
    const found = notchByWidth(60, 200, 30);
    vectors.scipy_doc_notch.b.forEach((value: number, k: number) => {
      expectClose(found.b[k]!, value);
    });
    expectClose(found.a[2], vectors.scipy_doc_notch.a[2]);
  });

  test("runSections() gives what lfilter of SciPy gives on a worked series", () => {
    const { x, y } = vectors.lfilter_case;
    runSections([lowPass2(150, FS)], x).forEach((value, n) => {
      expectClose(value, y[n]);
    });
  });

  test("a frequency at or above Nyquist is refused", () => {
    expect(() => lowPass2(2000, FS)).toThrow(RangeError);
    expect(() => notch(0, FS, 5)).toThrow(RangeError);
    expect(() => onePole(Number.NaN, FS)).toThrow(RangeError);
  });
});

describe("dcDelay()", () => {
  test.each(closed.rows as Record<string, number>[])(
    "approaches the analogue closed forms at a high loop rate: $fc Hz",
    (row) => {
      const rate = 1e6;
      const hz = row["fc"]!;
      expect(chainDelayMs([lowPass1(hz, rate)], rate)).toBeCloseTo(row["first_order_ms"]!, 5);
      expect(chainDelayMs([lowPass2(hz, rate)], rate)).toBeCloseTo(row["butter2_ms"]!, 5);
      expect(chainDelayMs([lowPass2(hz, rate, 0.5)], rate)).toBeCloseTo(row["critically_damped2_ms"]!, 5);
      expect(chainDelayMs([notch(hz, rate, 5)], rate)).toBeCloseTo(row["notch_Q5_ms"]!, 5);
      expect(chainDelayMs([notch(hz, rate, 2.5)], rate)).toBeCloseTo(row["notch_Q2p5_ms"]!, 5);
    },
  );

  test("is √2 / (2 tan(w₀/2)) for a prewarped Butterworth filter", () => {
    expectClose(dcDelay(lowPass2(80, FS)), Math.SQRT2 / (2 * Math.tan((Math.PI * 80) / FS)));
  });

  test("tells the one-pole recursion (6.3662 samples) from the bilinear first order (6.3531)", () => {
    expect(dcDelay(onePole(100, FS))).toBeCloseTo(6.3662, 4);
    expect(dcDelay(lowPass1(100, FS))).toBeCloseTo(6.3531, 4);
    expect(groupDelay([onePole(100, FS)], 500, FS)!).toBeCloseTo(-0.2588, 4);
  });

  test("tells the two notch conventions apart, and so do their −3 dB widths", () => {
    for (const row of vectors.notch_convention.rows) {
      const section = (row.kind === "RBJ" ? notch : notchByWidth)(row.f0, FS, row.Q);
      expectClose(dcDelay(section), row.tau_DC_samples);
      for (const edge of [row.f_lo, row.f_hi]) {
        const h = response([section], edge, FS);
        expect(h.re ** 2 + h.im ** 2).toBeCloseTo(0.5, 9);
      }
    }
  });

  test("adds up over a cascade of four to 18.26226 samples, 4.56557 ms", () => {
    const cascade = [lowPass2(80, FS), lowPass2(150, FS), notchByWidth(200, FS, 5), notchByWidth(320, FS, 5)];
    cascade.forEach((section, i) => {
      expectClose(dcDelay(section), vectors.cascade.parts_closed_form[i]);
    });
    expect(chainDelayMs(cascade, FS)).toBeCloseTo(vectors.cascade.sum_ms, 7);
    expect(groupDelay(cascade, 0, FS)!).toBeCloseTo(vectors.cascade.sum_samples, 7);
    // phase cost 360 f τ at 30 Hz, the zero-frequency approximation
    expect(360 * 30 * 1e-3 * chainDelayMs(cascade, FS)).toBeCloseTo(49.31, 2);
  });
});
