import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Call, QualityCheck, Reason, ReasonLevel } from "../../src/result.js";
import { callFrom } from "../../src/verdict/call.js";
import { QUALITY_IDS } from "../../src/verdict/quality.js";
import { REASON_IDS } from "../../src/verdict/reason.js";
import { EFFECTS, settle } from "../../src/verdict/settle.js";

const PAGE = readFileSync(new URL("../../docs/verdict.md", import.meta.url), "utf8");
const ROWS = PAGE.slice(PAGE.indexOf("### Truth table"), PAGE.indexOf("## Limits"))
  .split("\n")
  .filter((line) => line.startsWith("| ") && !line.startsWith("| ---") && !line.startsWith("| reasons"))
  .map((line) => line.split("|").map((cell) => cell.trim()))
  .map(([, reasons = "", failed = "", call = ""]) => ({ reasons, failed, call: call as Call }));

function reason(text: string): Reason {
  const [id = "", level = ""] = text.trim().split(" ");
  return {
    id: id.replace("*", ""),
    level: level as ReasonLevel,
    value: null,
    ci95: null,
    limit: null,
    unit: "",
    axis: null,
    message: "Measured.",
    required: !id.endsWith("*"),
  };
}

const check = (id: string, level: QualityCheck["level"] = "fail"): QualityCheck => ({
  id,
  level,
  message: "",
  value: null,
  limit: null,
  unit: "",
});

describe("callFrom(reasons, quality)", () => {
  it("has a truth table in the docs with every call and every check that can fail", () => {
    expect(ROWS.length).toBeGreaterThan(35);
    expect(new Set(ROWS.map((row) => row.call))).toEqual(
      new Set(["quiet", "marginal", "loud", "undetermined"]),
    );
    for (const id of Object.keys(EFFECTS))
      expect(
        ROWS.some((row) => row.failed.includes(id)),
        id,
      ).toBe(true);
  });

  it.each(ROWS)("gives $call for $reasons, failed: $failed", ({ reasons, failed, call }) => {
    const checks = failed === "none" ? [] : failed.split(",").map((id) => check(id.trim()));
    expect(callFrom(reasons.split(",").map(reason), checks)).toBe(call);
  });

  it("gives undetermined without any reason", () => {
    expect(callFrom([], [])).toBe("undetermined");
  });

  it("does not mind warnings", () => {
    const warnings = QUALITY_IDS.map((id) => check(id, "warn"));
    expect(callFrom([reason("quiet-band ok")], warnings)).toBe("quiet");
  });

  const RANK: Record<Call, number> = { quiet: 0, marginal: 1, loud: 2, undetermined: 2 };
  const reasons = fc.array(
    fc
      .tuple(
        fc.constantFrom(...REASON_IDS),
        fc.constantFrom("ok", "marginal", "loud", "unknown"),
        fc.boolean(),
      )
      .map(([id, level, required]) => reason(`${id}${required ? "" : "*"} ${level}`)),
    { minLength: 1, maxLength: 8 },
  );
  const checks = fc
    .subarray([...QUALITY_IDS, "a-check-yet-to-come"])
    .map((ids) => ids.map((id) => check(id)));

  it("never gets better when one more check fails", () => {
    fc.assert(
      fc.property(reasons, checks, fc.constantFrom(...QUALITY_IDS), (given, failed, another) => {
        const before = RANK[callFrom(given, failed)];
        expect(RANK[callFrom(given, [...failed, check(another)])]).toBeGreaterThanOrEqual(before);
      }),
    );
  });

  it("never gets better when one more reason is worse than ok", () => {
    fc.assert(
      fc.property(reasons, checks, fc.constantFrom("marginal", "loud"), (given, failed, level) => {
        // With nothing required the call is undetermined for want of evidence, which more evidence mends.
        fc.pre(given.some((r) => r.required));
        const before = RANK[callFrom(given, failed)];
        const more = [...given, reason(`balance ${level}`)];
        expect(RANK[callFrom(more, failed)]).toBeGreaterThanOrEqual(before);
      }),
    );
  });

  it("is quiet only when nothing failed, nothing required is unknown and nothing is over a limit", () => {
    fc.assert(
      fc.property(reasons, checks, (given, failed) => {
        if (callFrom(given, failed) !== "quiet") return;
        expect(failed).toEqual([]);
        expect(given.every((r) => r.level === "ok" || (r.level === "unknown" && !r.required))).toBe(true);
      }),
    );
  });
});

describe("settle(reasons, quality)", () => {
  it("changes nothing the second time", () => {
    const given = REASON_IDS.map((id) => reason(`${id} marginal`));
    for (const id of QUALITY_IDS) {
      const once = settle(given, [check(id)]);
      expect(settle(once, [check(id)])).toEqual(once);
    }
  });

  it("says which check a reason does not stand up to, and keeps its number", () => {
    const [settled] = settle([{ ...reason("quiet-band ok"), value: 0.5 }], [check("raw-gyro")]);
    expect(settled).toMatchObject({ level: "unknown", value: 0.5 });
    expect(settled!.message).toContain('"raw-gyro"');
  });
});
