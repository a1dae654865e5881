import { readFileSync } from "node:fs";
import { Ajv2020 } from "ajv/dist/2020.js";
import { describe, expect, test } from "vitest";
import { simulateFlight } from "../../simulator/simulate.js";
import type { Craft } from "../../src/craft.js";
import { pathTo } from "../../src/filters/advice.js";
import { type FilterStudyOptions, filterStudy, isRefusal } from "../../src/filters/filter-study.js";
import { leastDelay, paretoFront, type Trade, thinnedFront } from "../../src/filters/search.js";
import type { FilterRefusal, FilterStudy } from "../../src/filters/study.js";
import { refusalText, studyText } from "../../src/filters/study-text.js";
import { estimateRotor } from "../../src/rotor/estimate-rotor.js";
import type { RotorEstimate } from "../../src/rotor/rotor.js";
import type { Timeline } from "../../src/timeline/timeline.js";
import { NO_MODES, NO_ROTOR } from "./blank.js";

const quiet = simulateFlight({ seed: 21, durationS: 30, logRateHz: 1000, telemetry: {} });
const loud = simulateFlight({
  seed: 21,
  durationS: 30,
  logRateHz: 1000,
  telemetry: {},
  lines: { onceDps: 6, bladePassDps: [2, 0.5] },
  chain: { gyro: [{ type: "lowpass2", cutoffHz: 80 }], dterm: [{ type: "lowpass2", cutoffHz: 60 }] },
});

/** One estimate per flight: leaving a column out or naming another rate does not change its rotors. */
const rotors = new Map<Timeline["gyroRaw"], RotorEstimate>();
function rotorOf(timeline: Timeline, craft: Craft): RotorEstimate {
  const known = rotors.get(timeline.gyroRaw) ?? estimateRotor(timeline, craft);
  rotors.set(timeline.gyroRaw, known);
  return known;
}

function study(
  timeline: Timeline,
  craft: Craft = {},
  options: FilterStudyOptions = { loopRateHz: 4000 },
): FilterStudy {
  const found = filterStudy(timeline, rotorOf(timeline, craft), NO_MODES, craft, options);
  if (isRefusal(found)) throw new Error(found.cost);
  return found;
}

function refused(timeline: Timeline): FilterRefusal {
  const found = filterStudy(timeline, NO_ROTOR, NO_MODES, {});
  if (!isRefusal(found)) throw new Error("a study where a refusal was due");
  return found;
}

const none = { roll: null, pitch: null, yaw: null };
const quietStudy = study(quiet.timeline);
const loudStudy = study(loud.timeline);
const withoutDterm = study({ ...quiet.timeline, dterm: none });
const withoutThrottle = study({ ...quiet.timeline, throttle: null });
const withoutScale = study({ ...quiet.timeline, motorRange: null });
const leastOf = (s: FilterStudy) => s.candidates.find((c) => c.role === "least delay")!;

describe("filterStudy()", () => {
  test("finds a chain within the limit with less delay than the flight's own", () => {
    const least = leastOf(quietStudy);
    expect(quietStudy.limit).toEqual({ value: 20, how: "share of motor range", share: 0.02 });
    expect(least.dtermRms).toBeLessThanOrEqual(18);
    expect(least.meetsLimit).toBe(true);
    expect(least.delayMs).toBeLessThan(quietStudy.own.delayMs!);
  });

  test("never picks a D-term without a filter of its own", () => {
    for (const s of [quietStudy, loudStudy]) expect(leastOf(s).steps!.dterm).toHaveLength(1);
  });

  test("says how much of a D-term rests on what folded down", () => {
    const open = quietStudy.candidates.find((c) => c.steps?.dterm.length === 0)!;
    expect(open.aboveNyquistShare).toBeGreaterThan(0.5);
    expect(leastOf(loudStudy).aboveNyquistShare).toBeLessThan(0.3);
  });

  test("gives the quieter build the shorter delay", () => {
    expect(leastOf(quietStudy).delayMs).toBeLessThan(leastOf(loudStudy).delayMs);
    expect(quietStudy.own.dtermRms.roll!).toBeLessThan(loudStudy.own.dtermRms.roll!);
  });

  test("has among its examples the chain of a very quiet build, with its delay", () => {
    const example = quietStudy.candidates.find((c) =>
      c.chain.includes("75 to 110 Hz with throttle (2nd order)"),
    )!;
    expect(example.role).toBe("example");
    expect(example.chain).toMatch(
      /^gyro notches on rotor orders .* \+ notch \d+ Hz \(Q 5\); D-term low-pass 75 to 110/,
    );
    expect(example.steps!.gyro.every((step) => step.kind !== "low-pass")).toBe(true);
    expect(example.delayMs).toBeGreaterThan(2.2);
    expect(example.delayRangeMs[0]).toBeLessThan(example.delayRangeMs[1]);
  });

  test("draws a curve on which less D-term always costs more delay", () => {
    const curve = quietStudy.candidates.filter((c) => c.role === "trade-off");
    expect(curve.length).toBeGreaterThan(6);
    for (let i = 1; i < curve.length; i++) {
      expect(curve[i]!.delayMs).toBeGreaterThan(curve[i - 1]!.delayMs);
      expect(curve[i]!.dtermRms).toBeLessThan(curve[i - 1]!.dtermRms);
    }
  });

  test("marks the flight's own setting beside the curve, as logged", () => {
    const [own] = quietStudy.candidates;
    expect(own!.role).toBe("this flight");
    expect(own!.delayMs).toBe(quietStudy.own.delayMs);
    expect(own!.dtermRms).toBe(Math.max(quietStudy.own.dtermRms.roll!, quietStudy.own.dtermRms.pitch!));
    expect(own!.steps).toBeNull();
  });

  test("predicts the flight's own plain chain to what was logged, within 8 %", () => {
    for (const { own } of [quietStudy, loudStudy])
      expect(Math.abs(own.predictedOverLogged! - 1)).toBeLessThan(0.08);
  });

  test("measures what the gyro filter takes off an order at its true frequency", () => {
    const row = loudStudy.attenuation.find((a) => a.what === "order 1" && a.axis === "roll")!;
    const x = row.hz / 80;
    // second-order Butterworth at 80 Hz: |H|² = 1 / (1 + x⁴)
    expect(Math.abs(row.gainDb + 10 * Math.log10(1 + x ** 4))).toBeLessThan(1.5);
  });

  test("states what was assumed, and takes what is told", () => {
    const assumed = study(quiet.timeline, {}, {});
    expect([assumed.loopRateHz, assumed.loopRateFrom, assumed.crossoverFrom]).toEqual([
      4000,
      "assumed",
      "assumed",
    ]);
    expect(assumed.doubts.join(" ")).toContain("--loop-rate");
    expect(study({ ...quiet.timeline, sampleRate: 999.8 }, {}, {}).loopRateHz).toBeCloseTo(3999.2, 6);
    const told = study(quiet.timeline, { loopRateHz: 8000, crossoverHz: 18 }, {});
    expect([told.loopRateHz, told.loopRateFrom]).toEqual([8000, "craft"]);
    expect([told.crossoverHz, told.crossoverFrom]).toEqual([18, "craft"]);
  });

  test("refuses an option that does not fit the log, and leaves out such an entry of the craft file", () => {
    expect(() => study(quiet.timeline, {}, { loopRateHz: 500 })).toThrow(/loop rate of 500 Hz does not fit/);
    expect(() => study(quiet.timeline, {}, { crossoverHz: 400 })).toThrow(/crossover of 400 Hz does not fit/);
    const unfit = study(quiet.timeline, { loopRateHz: 500 }, {});
    expect(unfit.loopRateFrom).toBe("assumed");
    expect(unfit.doubts[0]).toContain("loop rate of 500 Hz");
  });

  test("ends its advice with the cautions, steps one change at a time", () => {
    const text = loudStudy.advice.join("\n");
    expect(text).toContain("open loop");
    expect(text).toContain("propellers off");
    expect(text).toContain("Go back one step if a motor is hot");
    expect(text).toContain("Nothing is written to any controller");
    expect(text).toMatch(/Step 1: .*Predicted: \d+\.\d\d ms/);
  });

  test("validates against the published schema", () => {
    const schema = JSON.parse(
      readFileSync(new URL("../../schema/result.schema.json", import.meta.url), "utf8"),
    );
    const validate = new Ajv2020({ strict: true, strictTuples: false, strictTypes: false }).compile({
      $defs: schema.$defs,
      $ref: "#/$defs/filterStudy",
    });
    for (const s of [quietStudy, loudStudy, withoutDterm, withoutThrottle]) {
      validate(JSON.parse(JSON.stringify(s)));
      expect(validate.errors).toBeNull();
    }
  });

  test("is the same twice", () => {
    expect(JSON.stringify(study(quiet.timeline))).toBe(JSON.stringify(quietStudy));
  });
});

describe("filterStudy() with signals missing", () => {
  test("without raw gyro says politely what that costs", () => {
    expect(refused({ ...quiet.timeline, gyroRaw: none }).cost).toContain("raw");
    const dead = new Float32Array(quiet.timeline.length);
    expect(refused({ ...quiet.timeline, gyroRaw: { ...none, roll: dead } }).cost).toContain("raw");
  });

  test("refuses a log so slow that folding spoils the loop's band, and says what rate would do", () => {
    const slow = simulateFlight({ seed: 4, durationS: 20, logRateHz: 100 });
    expect(refused(slow.timeline).cost).toMatch(/100 a second.*log at 240 Hz or more/);
  });

  test("refuses three seconds of flight", () => {
    const short = simulateFlight({ seed: 4, durationS: 3, logRateHz: 1000 });
    expect(refused(short.timeline).cost).toContain("too little");
  });

  test("without D-term gives rates of change, no limit and no pick", () => {
    const found = withoutDterm;
    expect(found.dtermUnit).toBe("deg/s²");
    expect(found.limit).toBeNull();
    expect(found.candidates.every((c) => c.role !== "least delay" && c.meetsLimit === null)).toBe(true);
    expect(found.advice[1]).toContain("Without a D-term");
  });

  test("without a scale of the D-term holds chains against the flight's own level", () => {
    const found = withoutScale;
    expect(found.limit!.how).toBe("this flight's own level");
    expect(found.limit!.value).toBeCloseTo(Math.max(found.own.dtermRms.roll!, found.own.dtermRms.pitch!), 9);
  });

  test("without rotor speed offers no notches on it, and says so", () => {
    const found = filterStudy(quiet.timeline, NO_ROTOR, NO_MODES, {}) as FilterStudy;
    expect(found.candidates.every((c) => !c.chain.includes("rotor"))).toBe(true);
    expect(found.doubts.join(" ")).toContain("Rotor speed is not known");
  });

  test("without filtered gyro still measures the way to the D-term", () => {
    const found = study({ ...quiet.timeline, gyroFiltered: none });
    expect(found.own.gyroDelayMs).toBeNull();
    expect(found.own.delayMs).not.toBeNull();
  });

  test("without throttle has one level", () => {
    const found = withoutThrottle;
    expect(found.measured.filter((m) => m.axis === "roll" && m.path === "gyro")).toHaveLength(1);
    expect(found.measured[0]!.throttle).toBeNull();
  });

  test("with one axis dead predicts from the others, and holds no number that is not one", () => {
    const dead = new Float32Array(quiet.timeline.length);
    const found = study({ ...quiet.timeline, gyroRaw: { ...quiet.timeline.gyroRaw, roll: dead } });
    const wrong: string[] = [];
    JSON.stringify(found, (key, value: unknown) => {
      if (typeof value === "number" && !Number.isFinite(value)) wrong.push(key);
      return value;
    });
    expect(wrong).toEqual([]);
    expect(leastOf(found).axes.roll.gyroRms).toBeNull();
    expect(leastOf(found).axes.pitch.gyroRms).toBeGreaterThan(0);
  });

  test("with a filtered gyro that has nothing to do with the raw one says why there is no delay", () => {
    const other = simulateFlight({ seed: 99, durationS: 30, logRateHz: 1000, telemetry: {} }).timeline;
    const found = study({ ...quiet.timeline, gyroFiltered: other.gyroFiltered, dterm: none });
    const rows = found.measured.filter((m) => m.path === "gyro");
    expect(rows.every((m) => m.delayMs === null && /folded|another source/.test(m.why!))).toBe(true);
  });
});

describe("searching", () => {
  const trade = (delayMs: number, dtermRms: number, gyroDelayMs = 0): Trade => ({
    chain: { gyro: [], dterm: [{ kind: "low-pass", order: 1, corner: delayMs }] },
    delayMs,
    gyroDelayMs,
    dtermRms,
  });

  test("paretoFront() keeps what nothing beats in both", () => {
    const front = paretoFront([trade(3, 1), trade(1, 5), trade(2, 6), trade(2, 2), trade(4, 2)]);
    expect(front.map((t) => t.delayMs)).toEqual([1, 2, 3]);
  });

  test("leastDelay() takes the quickest within the limit, or none", () => {
    expect(leastDelay([trade(1, 5), trade(2, 2), trade(3, 1)], 3)!.delayMs).toBe(2);
    expect(leastDelay([trade(1, 5)], 3)).toBeNull();
  });

  test("leastDelay() prefers, among equals, the chain that leaves the gyro itself alone", () => {
    expect(leastDelay([trade(2, 2, 1.9), trade(2.05, 2, 0)], 3)!.delayMs).toBe(2.05);
  });

  test("thinnedFront() keeps both ends", () => {
    const front = Array.from({ length: 50 }, (_, i) => trade(i, 50 - i));
    const shown = thinnedFront(front, 6, 40);
    expect(shown).toHaveLength(6);
    expect([shown[0]!.delayMs, shown[5]!.delayMs]).toEqual([0, 40]);
  });

  test("pathTo() opens the gyro before the D-term, by no more than a third at a time", () => {
    const steps = pathTo(
      {
        gyro: [{ kind: "low-pass", order: 1, corner: 100 }],
        dterm: [{ kind: "low-pass", order: 2, corner: 60 }],
      },
      { gyro: [], dterm: [{ kind: "low-pass", order: 2, corner: 100 }] },
    );
    expect(steps.map((s) => s.what)).toEqual([
      "open the gyro low-pass from 100 to 126 Hz",
      "open the gyro low-pass from 126 to 159 Hz",
      "take the gyro low-pass out",
      "open the D-term low-pass from 60 to 77 Hz",
      "make it a low-pass 100 Hz (2nd order) on the D-term",
    ]);
  });

  test("pathTo() leaves a filter alone that is open enough", () => {
    const own = { gyro: [], dterm: [{ kind: "low-pass", order: 2, corner: 200 }] } as const;
    expect(pathTo(own, { gyro: [], dterm: [{ kind: "low-pass", order: 2, corner: 100 }] })).toEqual([]);
  });
});

describe("studyText()", () => {
  test.each([
    ["quiet", quietStudy, 1000],
    ["loud", loudStudy, 1000],
    ["no scale", withoutScale, null],
    ["no D-term", withoutDterm, null],
  ] as const)("fits 24 lines of 80 columns: %s", (_name, found, fullScale) => {
    const text = studyText(found, { file: "a-very-long-name-of-a-log-".repeat(5), fullScale });
    const lines = text.trimEnd().split("\n");
    expect(lines.length).toBeLessThanOrEqual(24);
    for (const line of lines) expect(line.length).toBeLessThanOrEqual(80);
    expect(text).toContain("open loop");
    expect(text).toContain("Nothing is written to a controller");
  });

  test("refusalText() says why in 80 columns", () => {
    const text = refusalText(refused({ ...quiet.timeline, gyroRaw: none }), { file: "x.csv" });
    expect(text).toContain("raw");
    for (const line of text.split("\n")) expect(line.length).toBeLessThanOrEqual(80);
  });
});
