import { describe, expect, it } from "vitest";
import { explainReason, reasonIds } from "../../src/verdict/explain.js";
import {
  LIMITS,
  type LimitName,
  limitsFor,
  limitsInForce,
  unusedOverrides,
} from "../../src/verdict/limits.js";
import { LIMITS_OF } from "../../src/verdict/limits-of.js";
import { nextSteps } from "../../src/verdict/next.js";
import { QUALITY_IDS } from "../../src/verdict/quality.js";
import { REASON_IDS, unknown } from "../../src/verdict/reason.js";
import { sortieCard } from "../../src/verdict/sortie.js";
import { wrap } from "../../src/verdict/wrap.js";

const widest = (text: string): number => Math.max(...text.split("\n").map((line) => line.length));

describe("explainReason(id)", () => {
  it.each([...REASON_IDS, ...QUALITY_IDS])("has a page of at most 80 columns for %s", (id) => {
    const page = explainReason(id)!;
    expect(page.startsWith(`${id}: `)).toBe(true);
    expect(widest(page)).toBeLessThanOrEqual(80);
    for (const part of ["Why it matters", "What usually causes it", "What to try next", "Mind"]) {
      expect(page).toContain(part);
    }
  });
  it("is null for what is no reason, inherited names included", () => {
    expect(explainReason("nonsense")).toBeNull();
    expect(explainReason("toString")).toBeNull();
  });
  it("is listed by reasonIds without strays", () => {
    expect([...reasonIds()].sort()).toEqual([...REASON_IDS, ...QUALITY_IDS].sort());
  });
});

describe("explainReason(id) and the limits", () => {
  it("gives the number, the consequence and the source of every limit that decides a reason", () => {
    const page = explainReason("balance")!.replace(/\s+/g, " ");
    expect(page).toContain(`balanceLoudPx: ${LIMITS.balanceLoudPx.value} px peak to peak`);
    expect(page).toContain("KA-01341");
  });
  it("leaves no limit without a page", () => {
    const explained = new Set(Object.values(LIMITS_OF).flat());
    expect(Object.keys(LIMITS).filter((name) => !explained.has(name as LimitName))).toEqual([]);
    expect(Object.keys(LIMITS_OF).filter((id) => explainReason(id) === null)).toEqual([]);
    for (const name of Object.keys(LIMITS)) expect(explainReason("limits")).toContain(`${name}: `);
  });
});

describe("nextSteps(reasons, quality)", () => {
  const marginal = (id: "balance" | "mode-separation" | "quiet-band") =>
    ({ ...unknown(id, ""), level: "marginal" }) as const;
  it("names each step once, propeller before screws before arm", () => {
    const steps = nextSteps([marginal("quiet-band"), marginal("mode-separation"), marginal("balance")], []);
    expect(new Set(steps).size).toBe(steps.length);
    const at = (word: RegExp): number => steps.findIndex((step) => word.test(step));
    expect(at(/Balance the propellers/)).toBeGreaterThanOrEqual(0);
    expect(at(/Balance the propellers/)).toBeLessThan(at(/screw and standoff/));
    expect(at(/screw and standoff/)).toBeLessThan(at(/Stiffen/));
  });
  it("says nothing when nothing is wrong", () => {
    expect(nextSteps([{ ...unknown("balance", ""), level: "ok" }], [])).toEqual([]);
  });
  it("does not ask to log a D-term that shakes on one axis and is absent on another", () => {
    const loud = { ...unknown("dterm-vibration", "", { axis: "roll" }), level: "loud" } as const;
    const absent = unknown("dterm-vibration", "", { axis: "yaw", required: false });
    const steps = nextSteps([loud, absent], []).join(" ");
    expect(steps).toContain("D gain");
    expect(steps).not.toContain("Log the D-term");
  });
  it("asks for a better log when a check failed", () => {
    const failed = { id: "raw-gyro", level: "fail", message: "", value: 0, limit: 1, unit: "" } as const;
    expect(nextSteps([], [failed]).join(" ")).toContain("unfiltered gyro");
  });
});

describe("limitsFor(craft)", () => {
  it("takes overrides by name and leaves the rest", () => {
    const limits = limitsFor({ limits: { separationMargin: 0.2 } });
    expect(limits.separationMargin).toBe(0.2);
    expect(limits.quietBandMarginalPx).toBe(LIMITS.quietBandMarginalPx.value);
    expect(limitsInForce({ limits: { separationMargin: 0.2 } })["separationMargin"]).toEqual({
      value: 0.2,
      unit: LIMITS.separationMargin.unit,
      from: "craft",
    });
  });
  it("reports names that do not exist and numbers that make no sense", () => {
    const craft = { limits: { sepMargin: 0.2, toString: 1, airborneFailS: -3, separationMargin: 0.1 } };
    expect(unusedOverrides(craft)).toEqual(["sepMargin", "toString", "airborneFailS"]);
    expect(limitsFor(craft).airborneFailS).toBe(LIMITS.airborneFailS.value);
  });
  it("gives every limit a reason and a source", () => {
    for (const limit of Object.values(LIMITS)) {
      expect(limit.why.length).toBeGreaterThan(20);
      expect(limit.source.length).toBeGreaterThan(5);
    }
  });
});

describe("sortieCard(craft)", () => {
  it("keeps to 80 columns, with and without a craft", () => {
    expect(widest(sortieCard({}))).toBeLessThanOrEqual(80);
    expect(widest(sortieCard({ name: "Brambelow", kv: 160, cells: 12, payloadKg: 1.2 }))).toBeLessThanOrEqual(
      80,
    );
  });
  it("works out bands and log rate: 400 rpm/V on 6 cells with three blades needs 1000 Hz", () => {
    // 400 · 6 · 3.7 V = 8880 rpm; 0.85 of it is 125.8 Hz, blade pass 377 Hz, 2.2 times that 830 Hz
    const card = sortieCard({ kv: 400, cells: 6, blades: 3 });
    expect(card).toContain("1000 Hz or more");
    expect(card.replace(/\s+/g, " ")).toContain("to 126 Hz");
  });
  it("asks for a second flight with ballast when a payload is to come", () => {
    expect(sortieCard({ payloadKg: 1.5 })).toContain("1.5 kg of ballast");
    expect(sortieCard({})).not.toContain("ballast");
  });
  it("asks for a short hover after a change of filters or gains", () => {
    expect(sortieCard({}).replace(/\s+/g, " ")).toContain("feel for hot motors");
  });
  it("names the sources of its safety lines", () => {
    for (const source of ["14 CFR 107.15 and 107.49", "UAS.OPEN.010", "AC 107-2", "CAA"]) {
      expect(sortieCard({})).toContain(source);
    }
  });
});

describe("wrap(text, width)", () => {
  it("breaks at spaces", () => {
    expect(wrap("one two three", 8)).toEqual(["one two", "three"]);
  });
  it("leaves a longer word alone on its line", () => {
    expect(wrap("a incomprehensible b", 5)).toEqual(["a", "incomprehensible", "b"]);
  });
});
