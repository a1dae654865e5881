import { describe, expect, test } from "vitest";
import { foldHz } from "../../simulator/fold.js";
import { simulateFlight } from "../../simulator/simulate.js";
import { stillCraft, strongestLine } from "./still-craft.js";

/** Amplitude of the component locked to `order` times a speed track, by correlation. */
function lockedAmplitude(x: Float32Array, hz: Float32Array, o: { rate: number; order: number }): number {
  let phase = 0;
  let re = 0;
  let im = 0;
  for (let i = 0; i < x.length; i++) {
    re += x[i]! * Math.cos(o.order * phase);
    im += x[i]! * Math.sin(o.order * phase);
    phase += (2 * Math.PI * (hz[i]! + (hz[i + 1] ?? hz[i]!))) / 2 / o.rate;
  }
  return (2 * Math.hypot(re, im)) / x.length;
}

const quietWash = { wash: { density: 0.002 }, sensor: { density: 0.001, quantumDps: 0 } };

describe("simulateFlight(scenario with lines)", () => {
  test("puts the once-per-turn line at rotor frequency with the rigid body's amplitude", () => {
    const scenario = stillCraft({
      logRateHz: 1000,
      ...quietWash,
      rotors: { count: 4, spread: 0.02, imbalanceSpread: 0, bad: { motor: 2, factor: 20 } },
      lines: { onceDps: 0.05 },
    });
    const { timeline, truth } = simulateFlight(scenario);
    const line = strongestLine(timeline.gyroRaw.roll!, 1000, [50, 200]);
    const track = truth.rotor.tracks[1]!;
    expect(Math.abs(line.hz - track[20000]!)).toBeLessThan(0.26);
    expect(line.amplitude / truth.rotor.motors[1]!.onceDps.roll).toBeGreaterThan(0.94);
    expect(line.amplitude / truth.rotor.motors[1]!.onceDps.roll).toBeLessThan(1.06);
    expect(truth.rotor.worstMotor).toBe(2);
  });

  test("locks every motor's line to that motor's own track", () => {
    const scenario = stillCraft({
      logRateHz: 1000,
      durationS: 60,
      ...quietWash,
      rotors: { spread: 0.03, imbalanceSpread: 0.3 },
      flight: { throttleWobble: 0.05 },
      lines: { onceDps: 0.5 },
    });
    const { timeline, truth } = simulateFlight(scenario);
    truth.rotor.tracks.forEach((hz, m) => {
      const amplitude = lockedAmplitude(timeline.gyroRaw.pitch!, hz, { rate: 1000, order: 1 });
      const ratio = amplitude / truth.rotor.motors[m]!.onceDps.pitch;
      expect(ratio).toBeGreaterThan(0.9);
      expect(ratio).toBeLessThan(1.1);
    });
  });

  test("makes once-per-turn rate grow with the first power of speed", () => {
    const scenario = stillCraft({
      logRateHz: 2000,
      ...quietWash,
      rotors: { spread: 0.03, imbalanceSpread: 0, bad: { motor: 1, factor: 50 } },
      flight: {
        profile: [
          [0, 0.3],
          [20, 0.3],
          [20.01, 0.6],
          [40, 0.6],
        ],
      },
      lines: { onceDps: 0.02 },
    });
    const { timeline, truth } = simulateFlight(scenario);
    const hz = truth.rotor.tracks[0]!;
    const over = (from: number): number => {
      const range = [from * 2000, (from + 16) * 2000] as const;
      const x = timeline.gyroRaw.roll!.subarray(...range);
      return lockedAmplitude(x, hz.subarray(...range), { rate: 2000, order: 1 }) / hz[range[1]]!;
    };
    expect(over(22) / over(2)).toBeGreaterThan(0.95);
    expect(over(22) / over(2)).toBeLessThan(1.05);
  });

  test("folds what lies above the log's Nyquist to |f - k fs|", () => {
    const scenario = stillCraft({
      logRateHz: 400,
      ...quietWash,
      rotors: { blades: 3, spread: 0 },
      lines: { bladePassDps: [2, 0] },
    });
    const { timeline, truth } = simulateFlight(scenario);
    const blade = truth.rotor.orders.find((o) => o.order === 3)!;
    expect(blade.medianHz).toBeGreaterThan(200);
    expect(blade.foldedShare).toBe(1);
    expect(Math.abs(strongestLine(timeline.gyroRaw.roll!, 400, [20, 199]).hz - blade.loggedHz)).toBeLessThan(
      0.26,
    );
  });

  test("folds a tone and says so", () => {
    const scenario = stillCraft({ logRateHz: 500, tones: [{ frequencyHz: 730, amplitudeDps: { yaw: 1 } }] });
    const { timeline, truth } = simulateFlight(scenario);
    expect(truth.tones[0]).toMatchObject({ trueHz: 730, loggedHz: 230, folded: true, axes: ["yaw"] });
    const line = strongestLine(timeline.gyroRaw.yaw!, 500, [100, 249]);
    expect(line.hz).toBeCloseTo(230, 3);
    expect(line.amplitude).toBeCloseTo(1, 1);
  });

  test("swells a line that crosses a mode", () => {
    const run = (
      modes: readonly { frequencyHz: number; dampingRatio: number; prominenceDb: { roll: number } }[],
    ) =>
      strongestLine(
        simulateFlight(stillCraft({ logRateHz: 1000, modes, lines: { onceDps: 1 } })).timeline.gyroRaw.roll!,
        1000,
        [80, 120],
      ).amplitude;
    const swell = run([{ frequencyHz: 100, dampingRatio: 0.02, prominenceDb: { roll: 20 } }]) / run([]);
    expect(swell).toBeGreaterThan(3);
  });
});

describe("foldHz(f, rate)", () => {
  // D. Sarwate, Signal Processing Stack Exchange, and SFU's note on aliasing.
  test.each([
    [3200, 1000, 200],
    [2800, 1000, 200],
    [60, 90, 30],
    [100, 90, 10],
    [16, 8, 0],
    [28000, 44100, 16100],
    [620, 1000, 380],
    [1240, 1000, 240],
    [10, 90, 10],
  ])("folds %i Hz at %i Hz to %i Hz", (f, rate, folded) => {
    expect(foldHz(f, rate)).toBe(folded);
  });
});
