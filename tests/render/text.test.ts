import { describe, expect, test } from "vitest";
import type { Mode } from "../../src/modes/mode.js";
import { renderText } from "../../src/render/text.js";
import type { Reason, Result } from "../../src/result.js";
import { columnsOf } from "../../src/text/columns.js";
import { perAxis } from "../../src/units.js";
import { hostileFlight, type InventedFlight, inventedFlight, nothingKnown } from "./invented-flight.js";

const OPTIONS = {
  width: 80,
  colour: false,
  unicode: true,
  reportPath: "flight-07/report.html",
  verbose: false,
};

const flights: readonly (readonly [string, InventedFlight])[] = [
  ["a plain flight", inventedFlight()],
  ["a flight with many modes", inventedFlight({ modeCount: 30 })],
  ["a flight without D-term", inventedFlight({ dterm: false })],
  ["a flight of which nothing is known", nothingKnown()],
  ["a hostile flight", hostileFlight()],
];

test.each(flights)("renderText(%s) keeps to 24 lines of 80 columns", (_name, { result }) => {
  const lines = renderText(result, OPTIONS).trimEnd().split("\n");
  expect(lines.length).toBeLessThanOrEqual(24);
  expect(Math.max(...lines.map(columnsOf))).toBeLessThanOrEqual(80);
});

test.each(flights)("renderText(%s, { unicode: false }) is ASCII within any width", (_name, { result }) => {
  for (const width of [40, 60, 80]) {
    const text = renderText(result, { ...OPTIONS, width, unicode: false });
    expect(text).toMatch(/^[\x20-\x7e\n]*$/);
    expect(Math.max(...text.split("\n").map((line) => line.length))).toBeLessThanOrEqual(width);
  }
});

test.each(flights)("renderText(%s) says the call as a word, without colour", (_name, { result }) => {
  const text = renderText(result, OPTIONS);
  expect(text.toLowerCase()).toContain(result.verdict.call);
  expect(text).not.toContain("\u001b");
});

test("renderText(result, { colour: true }) colours, and says the same", () => {
  const { result } = inventedFlight();
  const coloured = renderText(result, { ...OPTIONS, colour: true });
  expect(coloured).toContain("\u001b[");
  expect(coloured.replace(/\u001b\[[\d;]*m/g, "")).toBe(renderText(result, OPTIONS));
});

test("renderText(result, { verbose: true }) adds a spectrum per axis", () => {
  const { result, evidence } = inventedFlight();
  const verbose = renderText(result, { ...OPTIONS, verbose: true, evidence });
  expect(verbose.split("\n").length).toBeGreaterThan(renderText(result, OPTIONS).split("\n").length);
  expect(verbose).toMatch(/[\u2801-\u28ff▁▂▃▄▅▆▇█]/);
});

test("renderText(hostile) lets no escape, bell or direction mark through", () => {
  const { result, evidence } = hostileFlight();
  expect(renderText(result, { ...OPTIONS, verbose: true, evidence })).not.toMatch(
    /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/,
  );
});

describe("the short form", () => {
  const { result } = inventedFlight();
  const text = (change: Partial<Result>): string => renderText({ ...result, ...change }, OPTIONS);
  const unresolved = { ...result.modes[0]!, frequencyHz: 52, ci95Hz: [51, 53] as const, kind: "unresolved" };
  const failed = { level: "fail", value: 3, limit: 10, unit: "s" } as const;

  test("opens with the call, then the first mode, before any line is named", () => {
    const lines = text({}).split("\n");
    expect(lines[0]!.toLowerCase()).toContain(result.verdict.call);
    const first = lines.findIndex((line) => line.startsWith("First mode"));
    expect(first).toBeGreaterThan(0);
    expect(first).toBeLessThan(lines.findIndex((line) => line.includes("strongest line")));
  });

  test("tells candidates that are unresolved, a search that was not possible, and none found apart", () => {
    const none = { firstMode: null, modesUnobservable: [], quality: [] };
    expect(text({ ...none, modes: [] })).toContain(
      "none found up to 500 Hz, which is all that this log shows",
    );
    expect(text({ ...none, modes: [unresolved as Mode] })).toMatch(/not known: 52 Hz could not be told/);
    const airborne = { ...failed, id: "airborne", message: "3 s in the air." };
    expect(text({ ...none, modes: [], quality: [airborne] })).toMatch(/not known: .* could not be searched/);
  });

  test("spells out the checks that failed and gives what rests on them a line each", () => {
    const quality = [{ ...failed, id: "gaps", message: "32 % of the samples are missing." }];
    const base = result.verdict.reasons[0]!;
    const reason = (id: string, axis: "roll" | "pitch", value: number): Reason => ({
      ...base,
      ...{ id, axis, value, level: "unknown", limit: 2, unit: "deg/s RMS", message: "m".repeat(200) },
    });
    const reasons = [
      reason("quiet-band", "roll", 0.5),
      reason("quiet-band", "pitch", 0.7),
      reason("balance", "roll", 1),
    ];
    const lines = text({ quality, verdict: { ...result.verdict, call: "undetermined", reasons } }).split(
      "\n",
    );
    expect(lines.some((line) => /^failed +gaps: 32 %/.test(line))).toBe(true);
    expect(lines.filter((line) => line.includes("does not count"))).toEqual([
      "unknown     quiet-band       0.700 deg/s RMS on pitch, does not count",
      "unknown     balance          1.00 deg/s RMS on roll, does not count",
    ]);
  });

  test.each([
    ["unresolved peak at 119 Hz", "119 Hz, unresolved peak"],
    ["once per turn, near the unresolved peak at 120 Hz", "119 Hz, once per turn + peak"],
    ["blade pass, folded, near the unresolved peak at 120 Hz", "119 Hz, peak + folded line"],
  ])("shows %o in its column and calls it no mode", (what, cell) => {
    const strongestLine = { hz: 119, levelDb: 8, what };
    const shown = text({ axes: perAxis((axis) => ({ ...result.axes[axis], strongestLine })) });
    expect(shown.split("\n").filter((line) => line.includes(cell))).toHaveLength(3);
  });

  test("gives shares as percent and a folded line on a mode in its column", () => {
    const base = result.verdict.reasons[0]!;
    const ok = { ...base, level: "ok", axis: null, required: true } as const;
    const reasons: Reason[] = [
      { ...ok, id: "mode-separation", value: 0.267, limit: 0.15, unit: "share of the mode's frequency" },
      { ...ok, id: "dterm-vibration", value: 0.004, limit: 0.02, unit: "share of motor range", axis: "roll" },
    ];
    const what = "blade pass, folded, near the mode at 58 Hz";
    const axes = perAxis((axis) => ({
      ...result.axes[axis],
      strongestLine: { hz: 57.8, levelDb: 8, what },
    }));
    const shown = text({ axes, verdict: { ...result.verdict, reasons } });
    expect(shown).toContain("nearest mode 26.7 % clear, wanted 15 %");
    expect(shown).toContain("0.4 % of the motor range on roll, limit 2 %");
    expect(shown).toContain("57.8 Hz, mode + folded line");
    expect(shown.split("\n").filter((line) => /^(roll|pitch|yaw)/.test(line))).toHaveLength(3);
    expect(shown.split("\n").filter((line) => /^(roll|pitch|yaw).*…/.test(line))).toEqual([]);
  });

  test("never shows a confidence of 1", () => {
    const rotor = { ...result.rotor, source: "inferred", confidence: 1 } as const;
    expect(text({ rotor })).toContain("confidence 0.99");
  });
});
