import { describe, expect, it } from "vitest";
import { cutShort, moved, scaled } from "../../accuracy/worsened.js";
import type { Scenario } from "../../simulator/scenario.js";
import type { Call } from "../../src/result.js";
import type { Timeline } from "../../src/timeline/timeline.js";
import { judge } from "../../src/verdict/judge.js";
import type { JudgeInput } from "../../src/verdict/judge-input.js";
import { CLEAN, judgeKnown, knownFlight, levelsOf, NO_ROTOR, NO_SERIES, numbersOf } from "./known-flight.js";

const clean = knownFlight(CLEAN);
const withTimeline = (change: Partial<Timeline>, input: JudgeInput = clean): JudgeInput => ({
  ...input,
  timeline: { ...input.timeline, ...change },
});
const callOf = (input: JudgeInput): Call => judge(input).verdict.call;

describe("judge(input)", () => {
  it("calls a clean craft quiet, with every required reason ok", () => {
    const { verdict, quality, missing } = judge(clean);
    expect(verdict.call).toBe("quiet");
    expect(verdict.reasons.filter((r) => r.required).every((r) => r.level === "ok")).toBe(true);
    expect(quality.filter((check) => check.level === "fail")).toEqual([]);
    expect(missing.map((m) => m.what)).toEqual(["D-term of some axes"]);
    expect(verdict.next).toEqual([]);
  });

  it("calls an 8-inch three-blade lifter with its first mode at 250 Hz quiet (common practice, no source)", () => {
    const lifter: Scenario = {
      ...CLEAN,
      logRateHz: 2000,
      rotors: { count: 4, propellerInch: 8, blades: 3, hoverHz: 150 },
      modes: [{ frequencyHz: 250, dampingRatio: 0.015, prominenceDb: { roll: 14, pitch: 9 } }],
    };
    expect(judgeKnown(lifter).verdict.call).toBe("quiet");
  });

  it("calls a mode in the motor band loud when it swells, marginal when it does not", () => {
    const mode = { frequencyHz: 88, dampingRatio: 0.02 };
    const swollen = judgeKnown({
      ...CLEAN,
      lines: { ...CLEAN.lines!, onceDps: 2 },
      modes: [{ ...mode, prominenceDb: { roll: 20 } }],
    });
    expect(levelsOf(swollen, "mode-separation")).toEqual(["loud"]);
    expect(swollen.verdict.call).toBe("loud");
    const faint = judgeKnown({
      ...CLEAN,
      lines: { ...CLEAN.lines!, onceDps: 0.05 },
      modes: [{ ...mode, prominenceDb: { roll: 9 } }],
    });
    expect(levelsOf(faint, "mode-separation")).toEqual(["marginal"]);
    expect(faint.verdict.call).toBe("marginal");
  });

  it("does not blame a mode for rotors that shake as hard everywhere", () => {
    const input = knownFlight({ ...CLEAN, modes: [], lines: { ...CLEAN.lines!, onceDps: 9 } });
    const imagined = { ...clean.modes.modes[0]!, frequencyHz: 88, ci95Hz: [87.5, 88.5] as const };
    const { verdict } = judge({ ...input, modes: { ...input.modes, modes: [imagined] } });
    const reason = verdict.reasons.find((r) => r.id === "mode-separation")!;
    expect(reason.level).toBe("marginal");
    expect(reason.message).toContain("as strong away from the mode");
    expect(verdict.reasons.some((r) => r.id === "balance" && r.level !== "ok")).toBe(true);
  });

  it("finds a structure that stands in the quiet band", () => {
    const loose = { frequencyHz: 45, dampingRatio: 0.03, prominenceDb: { roll: 30 } };
    const { verdict } = judgeKnown({ ...CLEAN, modes: [loose] });
    expect(verdict.call).not.toBe("quiet");
    expect(verdict.reasons.find((r) => r.id === "standing-mode")).toMatchObject({ axis: "roll" });
  });

  it("is undetermined after a few seconds in the air, however it shakes", () => {
    const short = { ...CLEAN, durationS: 4 };
    expect(judgeKnown(short).verdict.call).toBe("undetermined");
    expect(judgeKnown(scaled(short, 20)).verdict.call).toBe("undetermined");
  });

  it("is undetermined for a slow log with a folded blade pass, with and without motor speed", () => {
    const slow = knownFlight({ ...CLEAN, logRateHz: 200 });
    expect(callOf(slow)).toBe("undetermined");
    expect(callOf({ ...slow, rotor: { ...slow.rotor, source: "inferred" } })).toBe("undetermined");
    expect(callOf({ ...slow, rotor: NO_ROTOR })).toBe("undetermined");
  });

  it("reckons with two blades when nobody says how many, and names the number as missing", () => {
    const slow = knownFlight({ ...CLEAN, logRateHz: 400 });
    expect(callOf(slow)).toBe("quiet");
    const untold = judge({ ...slow, rotor: { ...slow.rotor, blades: null } });
    expect(untold.verdict.call).toBe("quiet");
    expect(untold.missing.map((m) => m.what)).toContain("number of blades");
    // 280 samples a second hide the blade pass of two as well.
    const slower = knownFlight({ ...CLEAN, logRateHz: 280 });
    const hidden = judge({ ...slower, rotor: { ...slower.rotor, blades: null } });
    expect(hidden.verdict.call).toBe("undetermined");
  });

  it("is undetermined for a hover whose rotors hide their own band, and asks for a sweep", () => {
    const unobservable = [{ fromHz: 75, toHz: 105, why: "a line of what turns lies here in every frame" }];
    const hidden = { ...clean, modes: { ...clean.modes, unobservable } };
    const held = { ...clean.timeline, throttle: new Float32Array(clean.timeline.length).fill(0.42) };
    const hover = judge({ ...hidden, timeline: held, rotor: { ...clean.rotor, hover: true } });
    expect(hover.verdict.call).toBe("undetermined");
    expect(hover.verdict.next.join(" ")).toContain("throttle sweep");
    const blades = [{ fromHz: 140, toHz: 230, why: "a line of what turns lies here in every frame" }];
    expect(callOf({ ...clean, modes: { ...clean.modes, unobservable: blades } })).toBe("quiet");
    const shaking = knownFlight({ ...CLEAN, modes: [], lines: { ...CLEAN.lines!, bladePassDps: [12] } });
    const hiddenAndShaking = judge({ ...shaking, modes: { ...shaking.modes, unobservable: blades } });
    expect(levelsOf(hiddenAndShaking, "mode-separation")).toEqual(["unknown"]);
    const slight = [{ ...unobservable[0]!, fromHz: 84, toHz: 90 }];
    const { verdict } = judge({ ...clean, modes: { ...clean.modes, unobservable: slight } });
    expect(verdict.call).toBe("quiet");
    expect(verdict.reasons.find((r) => r.id === "mode-separation")?.message).toContain(
      "could not have shown",
    );
  });

  it("never calls a filtered-only log quiet, and still calls a loud one loud", () => {
    const { timeline } = clean;
    expect(callOf(withTimeline({ gyroRaw: NO_SERIES }))).toBe("undetermined");
    const loud = knownFlight(scaled(CLEAN, 40));
    expect(callOf(withTimeline({ gyroRaw: NO_SERIES }, loud))).toBe("loud");
    expect(timeline.gyroFiltered.roll).not.toBeNull();
  });

  it("finds the rate at which the D-term heats motors, and says when its scale is not known", () => {
    const hot = knownFlight({ ...CLEAN, chain: { kd: 0.4 } });
    expect(levelsOf(judge(hot), "dterm-vibration")).toContain("loud");
    const unscaled = judge(withTimeline({ motorRange: null }, hot));
    expect(levelsOf(unscaled, "dterm-vibration")).toEqual(["unknown", "unknown", "unknown"]);
    expect(unscaled.missing.map((m) => m.what)).toContain("scale of the D-term");
    const told = judge({ ...withTimeline({ motorRange: null }, hot), craft: { dtermFullScale: 1000 } });
    expect(levelsOf(told, "dterm-vibration")).toContain("loud");
  });

  it("says that a craft has no quiet band when commanded motion meets the rotors", () => {
    const { axes, verdict } = judge({ ...clean, craft: { crossoverHz: 90 } });
    expect(axes.roll.quietBand.toHz!).toBeLessThanOrEqual(axes.roll.quietBand.fromHz!);
    expect(verdict.call).toBe("marginal");
    expect(verdict.reasons[0]!.message).toContain("no quiet band");
  });

  it("keeps descents and gusts out of the quiet-band figure and reports them as wash", () => {
    const rough = judgeKnown({ ...CLEAN, flight: { ...CLEAN.flight!, burstsPerMinute: 8, burstGain: 8 } });
    const calm = judge(clean);
    const { wash, quietBand } = rough.axes.roll;
    expect(quietBand.rmsDps!).toBeLessThan(1.4 * calm.axes.roll.quietBand.rmsDps!);
    expect(wash.seconds).toBeGreaterThan(1);
    expect(wash.rmsDps!).toBeGreaterThan(quietBand.rmsDps!);
    expect(rough.verdict.reasons[0]!.message).toMatch(/wash and gusts \(.* s, .* deg\/s\) are kept out/);
  });

  it("knows the sensor's own noise only when the log holds seconds at rest", () => {
    expect(judge(clean).axes.roll.quietBand.floorDps).toBeGreaterThan(0);
    expect(judge(withTimeline({ resting: [] })).axes.roll.quietBand.floorDps).toBeNull();
  });

  it("forecasts the loaded craft without letting it change the call", () => {
    const craft = { massKg: 5, payloadKg: 3 };
    const { verdict } = judge({ ...clean, craft });
    const forecast = verdict.reasons.find((r) => r.id === "payload-forecast")!;
    expect(["ok", "unknown"]).toContain(forecast.level);
    expect(verdict.call).toBe("quiet");
    expect(levelsOf(judge(clean), "payload-forecast")).toEqual([]);
  });

  it("uses limits of the craft file, reports them, and warns of names that do not exist", () => {
    const craft = { limits: { quietBandMarginalPx: 0.01, quietBandLoudPx: 0.02, nonsense: 3 } };
    const { verdict, limits, quality } = judge({ ...clean, craft });
    expect(verdict.call).toBe("loud");
    expect(limits["quietBandLoudPx"]).toMatchObject({ value: 0.02, from: "craft" });
    expect(quality.find((check) => check.id === "limits")?.message).toContain("nonsense");
  });

  it("names the strongest line", () => {
    const { axes } = judge(knownFlight({ ...CLEAN, lines: { ...CLEAN.lines!, onceDps: 3 } }));
    expect(axes.yaw.strongestLine?.what).toContain("once per turn");
  });

  it("calls the strongest line an unresolved peak where lines could not be told from modes", () => {
    const flight = knownFlight({
      ...CLEAN,
      modes: [{ frequencyHz: 150, dampingRatio: 0.01, prominenceDb: { yaw: 30 } }],
    });
    const named = (kind: "structure" | "unresolved"): string | undefined => {
      const modes = flight.modes.modes.map((mode) => ({ ...mode, kind }));
      return judge({ ...flight, modes: { ...flight.modes, modes } }).axes.yaw.strongestLine?.what;
    };
    expect(named("structure")).toContain("mode at 150");
    expect(named("unresolved")).toContain("unresolved peak at 150");
  });

  it("gives third-octave levels of raw gyro, filtered gyro and D-term, null where there is none", () => {
    const { axes } = judge(clean);
    const band = axes.roll.bands.find((b) => b.fromHz > 80 && b.toHz < 120)!;
    expect(band.gyroRawDps!).toBeGreaterThan(band.gyroFilteredDps!);
    expect(band.dterm).toBeGreaterThan(0);
    expect(axes.yaw.bands.every((b) => b.dterm === null)).toBe(true);
  });
});

describe("judge(input) with signals missing", () => {
  const empty = { ...clean.timeline, length: 0, valid: new Uint8Array(0), airborne: [], resting: [] };
  const poor: [string, JudgeInput][] = [
    ["no gyro", withTimeline({ gyroRaw: NO_SERIES, gyroFiltered: NO_SERIES })],
    ["one axis of gyro", withTimeline({ gyroRaw: { ...NO_SERIES, roll: clean.timeline.gyroRaw.roll } })],
    ["no throttle", withTimeline({ throttle: null, throttleFrom: null })],
    ["no setpoint", withTimeline({ setpoint: NO_SERIES })],
    ["no filtered gyro", withTimeline({ gyroFiltered: NO_SERIES })],
    ["no rotor speed", { ...clean, rotor: NO_ROTOR }],
    ["no modes searched", { ...clean, modes: { ...clean.modes, modes: [], fixed: NO_SERIES } }],
    ["nothing airborne", withTimeline({ airborne: [] })],
    ["half a second airborne", withTimeline({ airborne: [{ from: 2000, to: 2400 }] })],
    ["no samples", { ...clean, timeline: empty }],
    [
      "a gyro that never changes",
      withTimeline({ gyroRaw: { ...clean.timeline.gyroRaw, roll: new Float32Array(clean.timeline.length) } }),
    ],
    [
      "holes of NaN in the D-term",
      withTimeline({
        dterm: {
          ...NO_SERIES,
          roll: clean.timeline.dterm.roll!.map((v, i) => (i % 5000 === 0 ? Number.NaN : v)),
        },
      }),
    ],
  ];

  it.each(poor)("answers without throwing, without NaN, and with a sentence: %s", (_, input) => {
    const judgement = judge(input);
    expect(numbersOf(judgement).every(Number.isFinite)).toBe(true);
    expect(judgement.verdict.sentence.length).toBeGreaterThan(10);
    expect(judgement.missing.length).toBeGreaterThan(0);
  });

  it.each([
    "no gyro",
    "no rotor speed",
    "no modes searched",
    "nothing airborne",
    "half a second airborne",
    "no samples",
    "a gyro that never changes",
    "one axis of gyro",
  ])("is undetermined with %s", (name) => {
    expect(callOf(poor.find(([n]) => n === name)![1])).toBe("undetermined");
  });

  it.each(["no throttle", "no setpoint", "no filtered gyro"])("stays quiet with %s", (name) => {
    expect(callOf(poor.find(([n]) => n === name)![1])).toBe("quiet");
  });

  it("finds clipping, coarse steps, gaps and jitter", () => {
    const { timeline } = clean;
    const roll = timeline.gyroRaw.roll!;
    const level = (input: JudgeInput, id: string): string | undefined =>
      judge(input).quality.find((check) => check.id === id)?.level;
    const gyro = (series: Float32Array): JudgeInput =>
      withTimeline({ gyroRaw: { ...timeline.gyroRaw, roll: series } });
    expect(level(gyro(roll.map((v) => Math.max(-8, Math.min(8, v)))), "clipping")).toBe("fail");
    expect(level(gyro(roll.map((v) => 30 * Math.round(v / 30))), "quantisation")).toBe("fail");
    expect(
      level(withTimeline({ valid: timeline.valid.map((v, i) => (i % 4000 < 1000 ? 0 : v)) }), "gaps"),
    ).toBe("fail");
    expect(level(withTimeline({ jitterShare: 0.7 }), "jitter")).toBe("fail");
    expect(["clipping", "quantisation", "gaps", "jitter"].map((id) => level(clean, id))).toEqual([
      "ok",
      "ok",
      "ok",
      "ok",
    ]);
  });
});

describe("the call's order over the simulator", () => {
  const RANK: Record<Call, number> = { quiet: 0, marginal: 1, loud: 2, undetermined: 2 };
  const crafts: Scenario[] = [
    CLEAN,
    { ...CLEAN, seed: 12, lines: { ...CLEAN.lines!, onceDps: 1.5 }, wash: { density: 0.03, cornerHz: 200 } },
    { ...CLEAN, seed: 13, modes: [{ frequencyHz: 50, dampingRatio: 0.02, prominenceDb: { pitch: 18 } }] },
  ];
  it.each(crafts)("never gets better with vibration scaled up (seed $seed)", (scenario) => {
    const ranks = [1, 5, 40].map((factor) => RANK[judgeKnown(scaled(scenario, factor)).verdict.call]);
    expect([...ranks].sort((a, b) => a - b)).toEqual(ranks);
    expect(ranks.at(-1)).toBe(2);
  });
  it.each(crafts)("never gets better with a mode moved into the rotor band (seed $seed)", (scenario) => {
    const before = RANK[judgeKnown(scenario).verdict.call];
    expect(RANK[judgeKnown(moved(scenario)).verdict.call]).toBeGreaterThanOrEqual(Math.max(1, before));
  });
  it.each(crafts)("never gets better with the log cut short (seed $seed)", (scenario) => {
    const input = knownFlight(scenario);
    const whole = RANK[callOf(input)];
    for (const share of [0.6, 0.1]) {
      const cut = { ...input, timeline: cutShort(input.timeline, share) };
      expect(RANK[callOf(cut)], `${share}`).toBeGreaterThanOrEqual(whole);
    }
  });
  it("is the same for two flights of one craft", () => {
    const calls = [21, 22, 23].map((seed) => judgeKnown({ ...CLEAN, seed }).verdict.call);
    expect(new Set(calls)).toEqual(new Set(["quiet"]));
  });
});
