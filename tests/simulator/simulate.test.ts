import { describe, expect, test } from "vitest";
import type { Scenario } from "../../simulator/scenario.js";
import { simulateFlight } from "../../simulator/simulate.js";
import { stillCraft } from "./still-craft.js";

const SHORT: Scenario = {
  seed: 3,
  durationS: 6,
  logRateHz: 500,
  telemetry: { delayS: 0.012, refreshHz: 100 },
  modes: [{ frequencyHz: 90, dampingRatio: 0.02, prominenceDb: { roll: 10 } }],
  lines: { wander: 0.2 },
};

describe("simulateFlight(scenario)", () => {
  test("gives the same bytes for the same scenario", () => {
    expect(simulateFlight(SHORT).csv()).toBe(simulateFlight({ ...SHORT }).csv());
    expect(simulateFlight(SHORT).timeline).toEqual(simulateFlight(SHORT).timeline);
  });

  test("gives another flight for another seed", () => {
    expect(simulateFlight({ ...SHORT, seed: 4 }).csv()).not.toBe(simulateFlight(SHORT).csv());
  });

  test("draws each process from its own stream: a tone leaves the rotors as they were", () => {
    const tones = [{ frequencyHz: 50, amplitudeDps: { yaw: 1 } }];
    expect(simulateFlight({ ...SHORT, tones }).truth.rotor.tracks).toEqual(
      simulateFlight(SHORT).truth.rotor.tracks,
    );
  });

  test("logs the gyro in whole steps and clips it", () => {
    const { timeline } = simulateFlight({ ...SHORT, sensor: { quantumDps: 0.5, clipDps: 4 } });
    for (const v of timeline.gyroRaw.roll!) expect(Number.isInteger(v / 0.5)).toBe(true);
    expect(Math.max(...timeline.gyroRaw.roll!)).toBe(4);
  });

  test("refuses impossible scenarios", () => {
    expect(() => simulateFlight({ ...SHORT, rotors: { count: 2 } })).toThrow(RangeError);
    expect(() => simulateFlight({ ...SHORT, durationS: 0 })).toThrow(RangeError);
    expect(() => simulateFlight({ ...SHORT, logRateHz: -1 })).toThrow(RangeError);
  });

  test.each([
    { logRateHz: 400, propellerInch: 28, blades: 2 },
    { logRateHz: 1600, propellerInch: 10, blades: 3 },
    { logRateHz: 3200, propellerInch: 5, blades: 3 },
  ])(
    "runs its physics at a multiple of $logRateHz Hz, four times the highest line where 10 kHz allow",
    (c) => {
      const { physicsRate, rotor } = simulateFlight({ ...SHORT, ...c, rotors: c }).truth;
      expect(physicsRate % c.logRateHz).toBe(0);
      const top = Math.max(...rotor.orders.map((o) => o.medianHz));
      expect(physicsRate).toBeGreaterThanOrEqual(Math.min(10000, Math.max(4000, 4 * top)));
    },
  );

  test.each([3, 12])("flies %i rotors", (count) => {
    const { timeline, truth } = simulateFlight({ ...SHORT, rotors: { count } });
    expect(truth.rotor.tracks).toHaveLength(count);
    expect(timeline.motors).toHaveLength(count);
    expect(timeline.rotorSpeed.map((r) => r.motor)).toEqual(truth.rotor.motors.map((m) => m.motor));
  });

  test("marks ground and air", () => {
    const { timeline, truth } = simulateFlight({ ...SHORT, flight: { restBeforeS: 2, restAfterS: 3 } });
    expect(timeline.length).toBe(11 * 500);
    expect(timeline.airborne).toEqual([{ from: 1000, to: 4000 }]);
    expect(timeline.resting[0]).toEqual({ from: 0, to: 1000 });
    expect(timeline.throttle!.subarray(0, 1000).every((u) => u === 0)).toBe(true);
    expect(truth.rotor.common[500]).toBe(0);
    expect(truth.rotor.common[2500]).toBeGreaterThan(0.5 * truth.rotor.medianHz);
  });
});

describe("simulateFlight(scenario) rotors", () => {
  test("follow a step of command with the stated time constant", () => {
    const { truth } = simulateFlight(
      stillCraft({
        logRateHz: 1000,
        durationS: 4,
        rotors: { exponent: 1, saturation: 0, lagS: 0.1 },
        flight: {
          profile: [
            [0, 0.3],
            [2, 0.3],
            [2.0001, 0.6],
            [4, 0.6],
          ],
        },
      }),
    );
    const hz = truth.rotor.common;
    const [before, after] = [hz[1990]!, hz[3900]!];
    expect(after / before).toBeCloseTo(2, 6);
    expect((hz[2100]! - before) / (after - before)).toBeCloseTo(1 - Math.exp(-1), 1);
  });

  test("slow down as the battery sags", () => {
    const { truth, timeline } = simulateFlight(stillCraft({ logRateHz: 500, rotors: { sag: 0.2 } }));
    const hz = truth.rotor.common;
    expect(hz[19900]! / hz[100]!).toBeLessThan(0.9);
    expect(timeline.voltage![19900]! / timeline.voltage![100]!).toBeCloseTo(0.79, 1);
  });

  test("of a coaxial pair run apart by the stated ratio", () => {
    const { truth } = simulateFlight(
      stillCraft({ logRateHz: 500, rotors: { count: 8, coaxial: true, coaxialRatio: 1.06 } }),
    );
    expect(truth.rotor.tracks).toHaveLength(8);
    expect(truth.rotor.tracks[1]![5000]! / truth.rotor.tracks[0]![5000]!).toBeCloseTo(1.06, 6);
  });
});

describe("simulateFlight(scenario) telemetry", () => {
  test("reports electrical speed, late by the stated delay", () => {
    const { timeline, truth } = simulateFlight({
      ...SHORT,
      telemetry: { delayS: 0.012, refreshHz: 1e6, step: 0 },
      flight: { profile: "punchy" },
    });
    const [reading] = timeline.rotorSpeed;
    expect(reading!.electrical).toBe(true);
    expect(truth.rotor.divisor).toBe(7);
    for (let i = 100; i < 2900; i += 100) {
      expect(reading!.hz[i]! / 7).toBeCloseTo(truth.rotor.tracks[0]![i - 6]!, 2);
    }
  });

  test("holds readings between refreshes and steps them", () => {
    const { timeline } = simulateFlight({ ...SHORT, telemetry: { unit: "rpm", refreshHz: 50, step: 10 } });
    const rpm = timeline.rotorSpeed[0]!.hz.map((v) => v * 60);
    const changes = rpm.filter((v, i) => i > 0 && v !== rpm[i - 1]).length;
    expect(changes).toBeLessThan(0.11 * rpm.length);
    expect(Math.abs(rpm[777]! / 10 - Math.round(rpm[777]! / 10))).toBeLessThan(1e-3);
    expect(timeline.rotorSpeed[0]!.electrical).toBeNull();
  });

  test("drops out, freezes and spikes when asked", () => {
    const { timeline } = simulateFlight({
      ...SHORT,
      durationS: 30,
      telemetry: { dropoutsPerMinute: 20, spikesPerMinute: 20 },
    });
    const hz = timeline.rotorSpeed[0]!.hz;
    expect(hz.filter((v) => v === 0).length).toBeGreaterThan(10);
    expect(Math.max(...hz)).toBeGreaterThan(1.4 * hz.slice().sort()[hz.length >> 1]!);
  });
});

describe("simulateFlight(scenario) log faults", () => {
  test("leave gaps where rows were lost in bursts, and no row in the text", () => {
    const flight = simulateFlight({ ...SHORT, faults: { burst: { onS: 1, offS: 0.2 } } });
    const lost = flight.timeline.valid.filter((v) => v === 0).length;
    expect(flight.timeline.gaps.reduce((sum, g) => sum + g.samples, 0)).toBe(lost);
    expect(lost / 3000).toBeGreaterThan(0.1);
    expect(flight.csv().trim().split("\n")).toHaveLength(1 + 3000 - lost);
    expect(flight.timeline.gyroRaw.roll!.every(Number.isFinite)).toBe(true);
  });

  test("fill lone lost rows under 0.1 % and count them", () => {
    const { timeline } = simulateFlight({ ...SHORT, durationS: 60, faults: { lostRows: 3e-4 } });
    expect(timeline.filledSamples).toBeGreaterThan(0);
    expect(timeline.gaps).toEqual([]);
  });

  test("jitter the time stamps", () => {
    const { timeline } = simulateFlight({ ...SHORT, faults: { jitter: 0.2 } });
    expect(timeline.jitterShare).toBeGreaterThan(0.2);
  });
});

describe("simulateFlight(scenario).csv(style)", () => {
  test("writes the trade's words and one row per sample", () => {
    const lines = simulateFlight(SHORT).csv().split("\n");
    expect(lines[0]).toMatch(
      /^time \(us\),gyro raw roll \(deg\/s\),.*D-term roll,.*throttle \(%\),motor 1 \(%\)/,
    );
    expect(lines[0]).toContain("motor 1 electrical rpm");
    expect(lines).toHaveLength(1 + 3000 + 1);
    expect(lines[2]!.startsWith("2000,")).toBe(true);
  });

  test("can use semicolons with decimal commas", () => {
    const text = simulateFlight(SHORT).csv({
      delimiter: ";",
      decimalComma: true,
      timeUnit: "s",
      wording: "bracketed",
    });
    const [header, first, second] = text.split("\n");
    expect(header).toMatch(/^Time \[s\];Unfiltered rate x \[deg\/s\]/);
    expect(second!.startsWith("0,002;")).toBe(true);
    expect(first!.split(";")).toHaveLength(header!.split(";").length);
    expect(text).not.toMatch(/\d\.\d/);
  });

  test("agrees with the timeline to the step of the log", () => {
    const { timeline, csv } = simulateFlight(SHORT);
    const rows = csv().trim().split("\n");
    const column = rows[0]!.split(",").indexOf("gyro raw pitch (deg/s)");
    for (const i of [0, 77, 2999]) {
      expect(Number(rows[i + 1]!.split(",")[column])).toBeCloseTo(timeline.gyroRaw.pitch![i]!, 3);
    }
  });
});

describe("simulateFlight(scenario) kinds of mode", () => {
  const run = (mode: NonNullable<Scenario["modes"]>[number]) =>
    simulateFlight(
      stillCraft({
        logRateHz: 500,
        flight: {
          profile: [
            [0, 0.35],
            [19, 0.35],
            [21, 0.6],
            [40, 0.6],
          ],
          motionDps: 10,
        },
        modes: [mode],
      }),
    ).truth.modes[0]!;

  test("a structure stays put unless told to soften, and softens with thrust when told", () => {
    const still = run({ frequencyHz: 90, dampingRatio: 0.02, prominenceDb: { roll: 12 } });
    expect(still.rangeHz).toEqual([90, 90]);
    expect(still.axes[0]!.averagedDb).toBe(12);
    const soft = run({ frequencyHz: 90, dampingRatio: 0.005, prominenceDb: { roll: 12 }, drift: 0.03 });
    expect(soft.driftHz).toBeCloseTo(-2.7, 9);
    expect(soft.rangeHz[1] - soft.rangeHz[0]).toBeGreaterThan(2.5);
    expect(soft.axes[0]!.averagedDb).toBeLessThan(10.5);
  });

  test("a loop oscillation moves with speed", () => {
    const loop = run({ frequencyHz: 30, dampingRatio: 0.02, prominenceDb: { roll: 15 }, kind: "loop" });
    expect(loop.rangeHz[1] / loop.rangeHz[0]).toBeGreaterThan(1.3);
    expect(loop.kind).toBe("loop");
  });
});
