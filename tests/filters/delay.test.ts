import { describe, expect, test } from "vitest";
import { simulateFlight } from "../../simulator/simulate.js";
import { fitDelay } from "../../src/filters/delay-fit.js";
import { filterStudy } from "../../src/filters/filter-study.js";
import type { FilterStudy } from "../../src/filters/study.js";
import { NO_MODES, NO_ROTOR } from "./blank.js";

describe("fitDelay()", () => {
  const points = (phase: (hz: number) => number) =>
    Array.from({ length: 20 }, (_, k) => ({ hz: 4 + k, phase: phase(4 + k), variance: 1e-6, bias: 0 }));

  test("finds a pure delay and its phase", () => {
    const fit = fitDelay(points((hz) => -2 * Math.PI * hz * 0.0025))!;
    expect(fit.delayS).toBeCloseTo(0.0025, 9);
    expect(fit.phaseLagDeg(20).value).toBeCloseTo(360 * 20 * 0.0025, 6);
    expect(fit.ci95S[0]).toBeLessThan(0.0025);
    expect(fit.ci95S[1]).toBeGreaterThan(0.0025);
  });

  test("takes up the bend of a low-pass and still reads its delay at zero", () => {
    const w0 = 2 * Math.PI * 80;
    const fit = fitDelay(
      points((hz) => -Math.atan2((Math.SQRT2 * 2 * Math.PI * hz) / w0, 1 - ((2 * Math.PI * hz) / w0) ** 2)),
    )!;
    expect(1000 * fit.delayS).toBeCloseTo((1000 * Math.SQRT2) / w0, 2);
  });

  test("widens its interval by what folded noise may turn", () => {
    const plain = fitDelay(points((hz) => -hz * 0.01))!;
    const doubtful = fitDelay(points((hz) => -hz * 0.01).map((p) => ({ ...p, bias: 0.01 })))!;
    const width = (fit: typeof plain) => fit.ci95S[1] - fit.ci95S[0];
    expect(width(doubtful)).toBeGreaterThan(2 * width(plain));
  });

  test("gives nothing from five points", () => {
    expect(fitDelay(points((hz) => -hz * 0.01).slice(0, 5))).toBeNull();
  });
});

describe("the delay that filterStudy() measures", () => {
  const chains = [
    { gyro: [{ type: "lowpass1", cutoffHz: 200 }], dterm: [{ type: "lowpass2", cutoffHz: 100 }] },
    { gyro: [{ type: "lowpass2", cutoffHz: 250 }], dterm: [{ type: "lowpass1", cutoffHz: 150 }] },
    {
      gyro: [
        { type: "lowpass2", cutoffHz: 80 },
        { type: "notch", centreHz: 120, q: 3 },
      ],
      dterm: [{ type: "lowpass2", cutoffHz: 60 }],
    },
  ] as const;
  const flights = chains.flatMap((chain, i) =>
    [1000, 2000].map((logRateHz) => {
      const { timeline, truth } = simulateFlight({ seed: 40 + i, durationS: 40, logRateHz, chain });
      const study = filterStudy(
        timeline,
        NO_ROTOR,
        NO_MODES,
        {},
        { loopRateHz: truth.chain.loopRateHz },
      ) as FilterStudy;
      const gyroMs = 1000 * truth.chain.gyroDelayS;
      return { study, gyroMs, dtermMs: gyroMs + 1000 * truth.chain.dtermDelayS };
    }),
  );

  test.each(flights)("is within 0.1 ms for a gyro path of $gyroMs ms", ({ study, gyroMs }) => {
    expect(Math.abs(study.own.gyroDelayMs! - gyroMs)).toBeLessThan(0.1);
  });

  // the longest of these D-terms reaches only a few Hz before its phase bends: its interval is some ±0.4 ms
  test.each(flights)(
    "is within 0.1 ms, or its interval if wider, for a D-term path of $dtermMs ms",
    ({ study, dtermMs }) => {
      const [low, high] = study.own.ci95Ms!;
      expect(Math.abs(study.own.delayMs! - dtermMs)).toBeLessThan(Math.max(0.1, (high - low) / 2));
      expect(high - low).toBeLessThan(1);
    },
  );

  test("lies inside its 95 % interval in 92 to 100 of 100 rows", () => {
    const all = flights.flatMap(({ study, gyroMs, dtermMs }) =>
      study.measured.map((row) => ({ row, truth: row.path === "gyro" ? gyroMs : dtermMs })),
    );
    const rows = all.filter(({ row }) => row.ci95Ms !== null);
    const inside = rows.filter(({ row, truth }) => row.ci95Ms![0] <= truth && truth <= row.ci95Ms![1]);
    expect(rows.length).toBeGreaterThan(0.8 * all.length);
    expect(rows.length).toBeGreaterThan(80);
    expect(inside.length / rows.length).toBeGreaterThan(0.92);
  });

  test("goes with a plain chain that behaves alike, when there is one", () => {
    expect(flights[0]!.study.own.behavesLike).toMatch(
      /^gyro low-pass 2[0-5]\d Hz \(1st order\); D-term low-pass (9\d|10\d) Hz \(2nd order\)$/,
    );
    expect(flights[2]!.study.own.behavesLike).toMatch(
      /^gyro low-pass 2[45]\d Hz \(2nd order\); D-term low-pass 1[5-8]\d Hz \(1st order\)$/,
    );
  });

  test("comes with the D-term's own gain, within 4 % for plain chains", () => {
    for (const { study } of flights.slice(0, 4))
      expect(Math.abs(study.dtermGain.roll! / 0.015 - 1)).toBeLessThan(0.04);
    expect(flights[0]!.study.dtermGain.yaw).toBeNull();
  });
});
