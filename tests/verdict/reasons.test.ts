import { describe, expect, it } from "vitest";
import type { Scenario } from "../../simulator/scenario.js";
import type { Craft } from "../../src/craft.js";
import type { Mode } from "../../src/modes/mode.js";
import type { Reason } from "../../src/result.js";
import { judge } from "../../src/verdict/judge.js";
import type { JudgeInput } from "../../src/verdict/judge-input.js";
import { LIMITS } from "../../src/verdict/limits.js";
import { CLEAN, knownFlight, NO_SERIES } from "./known-flight.js";

const clean = knownFlight(CLEAN);
const template = clean.modes.modes[0]!;
const imagined = (frequencyHz: number, more: Partial<Mode> = {}): Mode => ({
  ...template,
  frequencyHz,
  ci95Hz: [frequencyHz - 0.5, frequencyHz + 0.5],
  axes: [{ axis: "roll", prominenceDb: 8 }],
  ...more,
});
const withModes = (input: JudgeInput, ...modes: Mode[]): JudgeInput => ({
  ...input,
  modes: { ...input.modes, modes },
});
const withCraft = (craft: Craft, input: JudgeInput = clean): JudgeInput => ({ ...input, craft });
const reasons = (input: JudgeInput, id: string): Reason[] =>
  judge(input).verdict.reasons.filter((reason) => reason.id === id);
const only = (input: JudgeInput, id: string): Reason => {
  const found = reasons(input, id);
  expect(found).toHaveLength(1);
  return found[0]!;
};

describe("a value whose interval reaches over a limit", () => {
  it("takes the worse side's level and says so, up to the call", () => {
    const { value, ci95, limit } = reasons(clean, "quiet-band").find((r) => r.axis === "roll")!;
    // A limit halfway between the value and the upper end of its interval.
    const px = (LIMITS.quietBandMarginalPx.value * (value! + ci95![1])) / 2 / limit!;
    const { verdict } = judge(withCraft({ limits: { quietBandMarginalPx: px } }));
    const roll = verdict.reasons.find((r) => r.id === "quiet-band" && r.axis === "roll")!;
    expect(roll.value!).toBeLessThan(roll.limit!);
    expect(roll.level).toBe("marginal");
    expect(roll.message).toContain("the worse side counts");
    expect(verdict.call).toBe("marginal");
  });
});

describe("quietBandReasons(measured, summaries)", () => {
  it("says what the sensor itself makes of the band when the motors rested, and nothing otherwise", () => {
    const rested = reasons(clean, "quiet-band")[0]!;
    expect(rested.message).toContain("The sensor at rest has");
    const never = { ...clean, timeline: { ...clean.timeline, resting: [] } };
    expect(reasons(never, "quiet-band")[0]!.message).not.toContain("at rest");
  });
});

describe("separationReasons(measured)", () => {
  const three: JudgeInput = { ...clean, rotor: { ...clean.rotor, blades: 3 } };
  it("lets a mode stand between the two bands, though the second order crosses it", () => {
    // Once per turn reaches 112 Hz, blade pass begins at 240 Hz; twice per turn sweeps over 145 Hz.
    const { level, message } = only(withModes(three, imagined(145)), "mode-separation");
    expect(level).toBe("ok");
    expect(message).toContain("145 Hz");
  });
  it("is marginal within the margin of either band, by that band's name", () => {
    expect(only(withModes(three, imagined(120)), "mode-separation")).toMatchObject({ level: "marginal" });
    const pass = only(withModes(three, imagined(215)), "mode-separation");
    expect(pass).toMatchObject({ level: "marginal", limit: LIMITS.separationMargin.value });
    expect(pass.message).toContain("blade-pass band");
  });
  it("is unknown when lines lie on most of a band that shakes, though its margins are free", () => {
    // Cruise turns at 80 to 112 Hz; with its margins the band reaches from 68 to 129 Hz.
    const unobservable = [{ fromHz: 84, toHz: 106, why: "a line of what turns lies here in every frame" }];
    const hiding = (input: JudgeInput): JudgeInput => ({ ...input, modes: { ...input.modes, unobservable } });
    const shaking = knownFlight({ ...CLEAN, lines: { ...CLEAN.lines!, onceDps: 6 } });
    const found = only(hiding(shaking), "mode-separation");
    expect(found).toMatchObject({ level: "unknown", required: true });
    expect(found.message).toContain("Fly a slow throttle sweep");
    expect(only(hiding(clean), "mode-separation").message).toContain("could not have shown");
  });
  it("is loud by the D-term when the D-term alone is over its limit there", () => {
    const ringing: Scenario = {
      ...CLEAN,
      lines: { ...CLEAN.lines!, onceDps: 0.3 },
      modes: [{ frequencyHz: 88, dampingRatio: 0.02, prominenceDb: { roll: 18 } }],
      flight: { ...CLEAN.flight!, profile: "sweep" },
      chain: { kd: 0.4 },
    };
    const input = knownFlight(ringing);
    const gyroOnly = { ...input, timeline: { ...input.timeline, motorRange: null } };
    expect(only(gyroOnly, "mode-separation").level).toBe("marginal");
    const found = only(input, "mode-separation");
    expect(found).toMatchObject({ level: "loud", unit: "share of motor range" });
    expect(found.message).toContain("D-term of roll");
  });
  it("counts a mode that was only swept through by its answer there", () => {
    const swept: [number, number][] = [
      [0, 0.4],
      [26, 0.4],
      [33, 0.75],
      [40, 0.4],
    ];
    const flight = { ...CLEAN.flight!, profile: swept };
    const held: Scenario = { ...CLEAN, referenceHz: 88, flight, modes: [] };
    const silent = knownFlight(held);
    expect(only(withModes(silent, imagined(114)), "mode-separation").level).toBe("ok");
    const answering = knownFlight({
      ...held,
      lines: { ...CLEAN.lines!, onceDps: 3 },
      modes: [{ frequencyHz: 114, dampingRatio: 0.015, prominenceDb: { roll: 22 } }],
    });
    const found = only(answering, "mode-separation");
    expect(found.level).toBe("loud");
    expect(found.message).toContain("all calm flight");
  });
});

describe("dtermReasons(measured)", () => {
  it("says that there is no D on an axis, and needs none there", () => {
    const yaw = reasons(clean, "dterm-vibration").find((r) => r.axis === "yaw")!;
    expect(yaw).toMatchObject({ level: "unknown", required: false });
    expect(yaw.message).toContain("No D on this axis");
  });
  it("says of a slow log that D is folded too, with and without a known scale", () => {
    const slow = knownFlight({ ...CLEAN, logRateHz: 400, rotors: { ...CLEAN.rotors!, blades: 3 } });
    const unscaled = { ...slow, timeline: { ...slow.timeline, motorRange: null } };
    for (const input of [slow, unscaled]) {
      const roll = reasons(input, "dterm-vibration").find((r) => r.axis === "roll")!;
      expect(roll.message).toContain("folded into this figure");
    }
    expect(reasons(clean, "dterm-vibration")[0]!.message).not.toContain("folded");
  });
});

describe("loopPhaseReasons(measured)", () => {
  const low = withModes(clean, imagined(32));
  const strict = { loopPhaseDeg: 1, loopMarginalDps: 0.001 };
  it("judges a low mode by phase and level together, not by its frequency alone", () => {
    expect(only(low, "loop-phase").level).toBe("ok");
    expect(only(withCraft({ limits: strict }, low), "loop-phase").level).toBe("marginal");
    const lateButFaint = withCraft({ limits: { ...strict, loopMarginalDps: 100 } }, low);
    expect(only(lateButFaint, "loop-phase").level).toBe("ok");
    const strongButEarly = withCraft({ limits: { ...strict, loopPhaseDeg: 170 } }, low);
    expect(only(strongButEarly, "loop-phase").level).toBe("ok");
  });
  it("gives the lag with an interval about it", () => {
    const { value, ci95 } = only(low, "loop-phase");
    expect(ci95![0]).toBeLessThan(value!);
    expect(ci95![1]).toBeGreaterThan(value!);
    expect(ci95![1] - ci95![0]).toBeLessThan(10);
  });
  it("is unknown without raw and filtered gyro side by side, and does not speak of modes out of reach", () => {
    const blind = { ...low, timeline: { ...low.timeline, gyroFiltered: NO_SERIES } };
    expect(only(blind, "loop-phase")).toMatchObject({ level: "unknown", required: false });
    expect(reasons(withModes(clean, imagined(140)), "loop-phase")).toEqual([]);
  });
});

describe("swayReasons(measured) and loopReasons(measured)", () => {
  const swaying = (dB: number): JudgeInput =>
    knownFlight({
      ...CLEAN,
      modes: [{ frequencyHz: 9, dampingRatio: 0.04, prominenceDb: { pitch: dB }, kind: "payload" }],
    });
  it("are marginal for a sway that a gimbal has to work against, and not for a slight one", () => {
    expect(only(swaying(16), "payload-sway")).toMatchObject({ level: "ok", axis: "pitch" });
    expect(only(swaying(32), "payload-sway")).toMatchObject({ level: "marginal", axis: "pitch" });
  });
  it("grade an oscillation of the loop by its level and say how it goes with throttle", () => {
    const loop = withModes(
      swaying(32),
      imagined(9, { kind: "loop", axes: [{ axis: "pitch", prominenceDb: 30 }] }),
    );
    const found = only(loop, "loop-oscillation");
    expect(["marginal", "loud"]).toContain(found.level);
    expect(found.message).toMatch(/goes with throttle with a correlation of -?\d/);
  });
});

describe("toneReasons(measured)", () => {
  it("is marginal for a tone that moves the image by more than a pixel, never loud", () => {
    const toned = (amplitudeDps: number): JudgeInput =>
      knownFlight({ ...CLEAN, tones: [{ frequencyHz: 130, amplitudeDps: { roll: amplitudeDps } }] });
    expect(only(toned(0.3), "tones").level).toBe("ok");
    expect(only(toned(300), "tones")).toMatchObject({ level: "marginal", axis: "roll" });
  });
});

describe("footageOf(measured)", () => {
  it("is twice the pixels with twice the focal length, and names whose lens it is", () => {
    const lens = (focalMm: number): Craft => ({ camera: { focalMm, sensorWidthMm: 36, widthPx: 3840 } });
    const pitch = (craft: Craft): number => judge(withCraft(craft)).footage.axes.pitch!.rmsPx;
    expect(pitch(lens(70)) / pitch(lens(35))).toBeCloseTo(2, 9);
    expect(judge(clean).footage.lens.from).toBe("reference");
    expect(judge(withCraft(lens(70))).footage.lens.from).toBe("craft");
  });
  it("adds up over its bands, in power, to the whole", () => {
    const { rmsPx, bands } = judge(clean).footage.axes.pitch!;
    const sum = Math.sqrt(bands.reduce((s, b) => s + b.rmsPx ** 2, 0));
    // The bands begin at the first third-octave above commanded motion, the whole at the first bin.
    expect(sum / rmsPx).toBeGreaterThan(0.8);
    expect(sum / rmsPx).toBeLessThan(1.1);
  });
});

describe("payloadReasons(measured)", () => {
  const near = withModes(clean, imagined(130));
  it("is unknown, asks for ballast and leaves the call alone where loaded bands may meet a loaded mode", () => {
    const input = { ...near, rotor: { ...near.rotor, blades: 3 } };
    const { verdict } = judge(withCraft({ massKg: 5, payloadKg: 3 }, input));
    const forecast = verdict.reasons.find((r) => r.id === "payload-forecast")!;
    expect(forecast).toMatchObject({ level: "unknown", required: false });
    expect(forecast.message).toContain("ballast");
    expect(verdict.next.join(" ")).toContain("ballast");
    expect(verdict.call).toBe(judge(input).verdict.call);
  });
});
