import { describe, expect, it } from "vitest";
import type { Mode } from "../../src/modes/mode.js";
import type { QualityCheck, Reason } from "../../src/result.js";
import { judge } from "../../src/verdict/judge.js";
import type { JudgeInput } from "../../src/verdict/judge-input.js";
import { unknown } from "../../src/verdict/reason.js";
import { callSentence } from "../../src/verdict/sentence.js";
import { CLEAN, knownFlight, NO_SERIES } from "./known-flight.js";

const clean = knownFlight(CLEAN);
const imagined = (frequencyHz: number, kind: Mode["kind"]): Mode => ({
  ...clean.modes.modes[0]!,
  frequencyHz,
  ci95Hz: [frequencyHz - 0.5, frequencyHz + 0.5],
  kind,
  axes: [{ axis: "roll", prominenceDb: 8 }],
});
const withModes = (...modes: Mode[]): JudgeInput => ({ ...clean, modes: { ...clean.modes, modes } });
const reasonOf = (input: JudgeInput, id: string, axis?: string): Reason =>
  judge(input).verdict.reasons.find((r) => r.id === id && (axis === undefined || r.axis === axis))!;
const checkOf = (input: JudgeInput, id: string): QualityCheck =>
  judge(input).quality.find((check) => check.id === id)!;

describe("judge(input) says what it means", () => {
  it("calls a quiet band empty only when no mode stands in it, on the axis that shows it", () => {
    expect(reasonOf(clean, "quiet-band", "roll").message).toContain("is empty");
    const holding = withModes(imagined(45, "structure"));
    const roll = reasonOf(holding, "quiet-band", "roll");
    expect(roll.level).toBe("ok");
    expect(roll.message).not.toContain("empty");
    expect(roll.message).toContain("a mode stands in it at 45 Hz");
    expect(reasonOf(holding, "quiet-band", "pitch").message).toContain("is empty");
  });

  it("blames the gaps, not the flying, when lost rows leave no whole frame", () => {
    const { timeline } = clean;
    const valid = timeline.valid.map((v, i) => (i % 300 === 0 ? 0 : v));
    const holed = checkOf({ ...clean, timeline: { ...timeline, valid } }, "calm-flight");
    expect(holed.level).toBe("fail");
    expect(holed.message).toContain("gaps leave no stretch");
    expect(holed.message).not.toContain("Fly smoothly");
    // A three-hundredth of the rows is lost, far under the share that fails, but it costs every frame.
    const gaps = checkOf({ ...clean, timeline: { ...timeline, valid } }, "gaps");
    expect(gaps.level).toBe("fail");
    expect(gaps.message).toContain("only 0 s of calm flight are without a hole");
    expect(checkOf(clean, "gaps").level).toBe("ok");
    const airborne = [{ from: 2000, to: 2000 + 3 * timeline.sampleRate }];
    const short = checkOf({ ...clean, timeline: { ...timeline, airborne } }, "calm-flight");
    expect(short.message).toContain("too short");
  });

  it("tells none found from unresolved and from not looked for", () => {
    for (const id of ["loop-oscillation", "payload-sway"]) {
      expect(reasonOf(clean, id)).toMatchObject({ level: "ok" });
      const open = reasonOf(withModes(imagined(9, "unresolved")), id);
      expect(open).toMatchObject({ level: "unknown", required: false });
      expect(open.message).toContain("the peak at 9 Hz");
      const unsearched = { ...clean, modes: { ...clean.modes, modes: [], fixed: NO_SERIES } };
      expect(reasonOf(unsearched, id)).toMatchObject({ level: "unknown", required: false });
    }
    const { timeline } = clean;
    const airborne = [{ from: 2000, to: 2000 + 15 * timeline.sampleRate }];
    expect(reasonOf({ ...clean, timeline: { ...timeline, airborne } }, "tones").level).toBe("unknown");
    expect(reasonOf(clean, "tones").level).toBe("ok");
  });

  it("never prints a confidence of 1", () => {
    const certain = { ...clean, rotor: { ...clean.rotor, confidence: 1 } };
    expect(checkOf(certain, "rotor-speed").message).toContain("confidence 0.99");
  });

  it("says first of a figure that does not count that it does not", () => {
    const short = judge(knownFlight({ ...CLEAN, durationS: 4 })).verdict;
    expect(short.sentence).toContain("it is too short");
    for (const reason of short.reasons.filter((r) => r.required))
      expect(reason.message).toMatch(/^(Does not count|A lower bound only)|^Too little unbroken/);
  });
});

describe("balanceReasons(measured) for one motor", () => {
  // 10 deg/s over all axes, as the rotor stage gives it.
  const motors = [{ motor: 2, onceDps: 10, ci95Dps: [9.9, 10.1] as const }];
  const single = (): Reason => {
    const input = { ...clean, rotor: { ...clean.rotor, motors } };
    return judge(input).verdict.reasons.find((r) => r.id === "balance" && r.message.startsWith("Motor"))!;
  };
  it("holds the worst axis's share of its amplitude against the limit for one axis", () => {
    const { value, axis, message } = single();
    expect(axis).not.toBeNull();
    expect(value!).toBeLessThan(10);
    expect(value!).toBeGreaterThan(10 / Math.sqrt(3) - 0.01);
    expect(message).toContain("10 deg/s once per turn");
  });
  it("says whether it stands out", () => {
    expect(single().message).toContain("though none stands out");
    const rotor = { ...clean.rotor, motors, worstMotor: 2 };
    const stands = judge({ ...clean, rotor }).verdict.reasons.find((r) => r.message.startsWith("Motor 2"))!;
    expect(stands.message).toContain("and stands out");
  });
  it("gives it an interval no narrower than flights of one craft repeat", () => {
    const { value, ci95 } = single();
    expect(ci95![1] / value!).toBeGreaterThan(1.07);
    expect(ci95![0] / value!).toBeLessThan(0.93);
  });
});

describe("callSentence(call, reasons, quality)", () => {
  const loud = (id: "balance" | "dterm-vibration"): Reason => ({
    ...unknown(id, ""),
    level: "loud",
    value: 1,
  });
  const marginal = (id: "balance" | "quiet-band", value: number | null): Reason => ({
    ...unknown(id, ""),
    level: "marginal",
    value,
  });
  const failed = { id: "gaps", level: "fail", message: "", value: 1, limit: 1, unit: "" } as const;
  it("agrees in number with what it names", () => {
    expect(callSentence("loud", [loud("balance")], [])).toBe(
      "Loud: the once-per-turn shaking is over its limit.",
    );
    expect(callSentence("loud", [loud("balance"), loud("dterm-vibration")], [])).toBe(
      "Loud: the once-per-turn shaking and the D-term are over their limits.",
    );
  });
  it("says of what is loud only by the worse side of its interval that it may be", () => {
    const perhaps = { ...loud("dterm-vibration"), limit: 2, ci95: [0.5, 3] as const };
    expect(callSentence("loud", [perhaps], [])).toBe(
      "Loud: the D-term may be over the limit, and the worse side counts.",
    );
    expect(callSentence("loud", [loud("balance"), perhaps], [])).toBe(
      "Loud: the once-per-turn shaking is over its limit; the D-term may be.",
    );
  });
  it("does not speak of a limit where there is no quiet band", () => {
    expect(callSentence("marginal", [marginal("quiet-band", null)], [])).toBe(
      "Marginal: this craft has no quiet band.",
    );
    expect(callSentence("marginal", [marginal("quiet-band", null), marginal("balance", 2)], [])).toBe(
      "Marginal: the once-per-turn shaking is near or over a first limit; this craft has no quiet band.",
    );
  });
  it("names what is wrong with the log, else what could not be judged", () => {
    expect(callSentence("undetermined", [unknown("balance", "")], [failed])).toContain(
      "because gaps break it up",
    );
    expect(callSentence("undetermined", [unknown("balance", "")], [])).toContain(
      "the once-per-turn shaking could not be judged",
    );
  });
});
