import { describe, expect, test } from "vitest";
import { simulateFlight } from "../../simulator/simulate.js";
import { bandDensity, stillCraft } from "./still-craft.js";

/** Means over 40 s of a band of a few hertz scatter by 2 to 4 %. */
const TOLERANCE = 0.1;

const ratioTo1 = (a: number, b: number): number => Math.abs(a / b - 1);

/** Mean of a function of frequency over a band. */
function meanOver([from, to]: readonly [number, number], value: (hz: number) => number): number {
  const steps = 40;
  let sum = 0;
  for (let i = 0; i < steps; i++) sum += value(from + ((to - from) * (i + 0.5)) / steps) / steps;
  return sum;
}

describe("simulateFlight(scenario) floor", () => {
  test.each([500, 1000, 4000])("at %i Hz agrees with truth.floorDensity, folding included", (logRateHz) => {
    const { timeline, truth } = simulateFlight(stillCraft({ logRateHz }));
    for (const axis of ["roll", "pitch", "yaw"] as const) {
      for (const f of [40, 90, 180, 0.46 * logRateHz]) {
        const measured = bandDensity(timeline.gyroRaw[axis]!, logRateHz, [f - 10, f + 10]);
        const stated = meanOver([f - 10, f + 10], (hz) => truth.floorDensity(hz, axis));
        expect(ratioTo1(measured, stated)).toBeLessThan(TOLERANCE);
      }
    }
  });

  test("has the stated wash density at 100 Hz when the corner is far above", () => {
    const scenario = stillCraft({
      logRateHz: 4000,
      wash: { density: 0.05, cornerHz: 1e5 },
      sensor: { density: 0, quantumDps: 0 },
    });
    const { timeline } = simulateFlight(scenario);
    expect(ratioTo1(bandDensity(timeline.gyroRaw.roll!, 4000, [92, 108]), 0.05 ** 2)).toBeLessThan(TOLERANCE);
  });

  test("grows with the fourth power of speed", () => {
    const level = (from: number): number => {
      const profile = [
        [0, 0.3],
        [20, 0.3],
        [20.01, 0.6],
        [40, 0.6],
      ] as const;
      const { timeline, truth } = simulateFlight(
        stillCraft({ logRateHz: 2000, sensor: { density: 0, quantumDps: 0 }, flight: { profile } }),
      );
      const part = timeline.gyroRaw.pitch!.subarray(from * 2000, (from + 18) * 2000);
      return bandDensity(part, 2000, [60, 400]) / truth.rotor.common[(from + 9) * 2000]! ** 4;
    };
    expect(ratioTo1(level(21), level(1))).toBeLessThan(TOLERANCE);
  });

  test("on the ground is the sensor's own noise", () => {
    const { timeline, truth } = simulateFlight(stillCraft({ logRateHz: 1000, flight: { restBeforeS: 10 } }));
    const rest = timeline.gyroRaw.yaw!.subarray(timeline.resting[0]!.from, timeline.resting[0]!.to);
    const rms = Math.sqrt(rest.reduce((sum, v) => sum + v * v, 0) / rest.length);
    expect(ratioTo1(rms, truth.sensor.rmsDps)).toBeLessThan(0.03);
  });
});

describe("simulateFlight(scenario with a mode)", () => {
  // Rate of a rigid body held by its loop plus one mode on the same torque, over the body's alone:
  // |1/(s + c) + g s / (s² + 2ζωs + ω²)|² / |1/(s + c)|². Receptances of one body add: D. J. Ewins, Modal Testing,
  // 2nd ed., 2000, ch. 2 (from memory).
  const overBody = (f: number, mode: { hz: number; zeta: number; gain: number }): number => {
    const loop = 8 / f;
    const [re, im] = [mode.hz ** 2 / f ** 2 - 1, (2 * mode.zeta * mode.hz) / f];
    const norm = re * re + im * im;
    // g s (s + c) / (s² + 2ζωs + ω²) with s = iω: g (-1 + i loop) / (re + i im)
    const real = 1 + (mode.gain * (-re + loop * im)) / norm;
    const imaginary = (mode.gain * (im + loop * re)) / norm;
    return real ** 2 + imaginary ** 2;
  };

  test("has the closed-form spectrum of body plus mode, interference included", () => {
    const [hz, zeta, db] = [150, 0.03, 12];
    const { timeline, truth } = simulateFlight(
      stillCraft({
        logRateHz: 4000,
        durationS: 60,
        wash: { density: 0.2, cornerHz: 1e5 },
        sensor: { density: 0, quantumDps: 0 },
        modes: [{ frequencyHz: hz, dampingRatio: zeta, prominenceDb: { roll: db } }],
      }),
    );
    const bands = [110, 125, 133, 140, 145, 150, 155, 160, 167, 175, 190].map((f) => [f - 2, f + 2] as const);
    const over = bands.map((band) => bandDensity(timeline.gyroRaw.roll!, 4000, band));
    const gain = (2 * zeta * Math.sqrt(10 ** (db / 10) - 1)) / Math.hypot(1, 8 / hz);
    // The mode shape's sign is drawn: the spectrum has to follow one of the two curves all along.
    const worst = [gain, -gain].map((g) => {
      const stated = (f: number): number =>
        truth.floorDensity(f, "roll") * overBody(f, { hz, zeta, gain: g });
      return Math.max(...bands.map((band, i) => ratioTo1(over[i]!, meanOver(band, stated))));
    });
    expect(Math.min(...worst)).toBeLessThan(0.3);
    expect(Math.max(...worst)).toBeGreaterThan(0.6);
  });

  test.each([
    { logRateHz: 500, hz: 120, db: 10, couplingSpread: 0 },
    { logRateHz: 1000, hz: 300, db: 18, couplingSpread: 0 },
    { logRateHz: 2000, hz: 600, db: 14, couplingSpread: 0.6 },
  ])("stands out by its stated prominence ($db dB at $hz Hz logged at $logRateHz Hz)", (c) => {
    const { timeline, truth } = simulateFlight(
      stillCraft({
        logRateHz: c.logRateHz,
        durationS: 90,
        modes: [
          {
            frequencyHz: c.hz,
            dampingRatio: 0.03,
            prominenceDb: { yaw: c.db },
            couplingSpread: c.couplingSpread,
          },
        ],
      }),
    );
    const near = bandDensity(timeline.gyroRaw.yaw!, c.logRateHz, [c.hz - 2, c.hz + 2]);
    expect(Math.abs(10 * Math.log10(near / truth.floorDensity(c.hz, "yaw")) - c.db)).toBeLessThan(1);
  });

  test("leaves the other axes alone", () => {
    const { timeline, truth } = simulateFlight(
      stillCraft({
        logRateHz: 1000,
        modes: [{ frequencyHz: 200, dampingRatio: 0.02, prominenceDb: { yaw: 25 } }],
      }),
    );
    const near = bandDensity(timeline.gyroRaw.roll!, 1000, [195, 205]);
    expect(ratioTo1(near, truth.floorDensity(200, "roll"))).toBeLessThan(0.15);
  });
});
