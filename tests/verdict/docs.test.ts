import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { rmsRateFor } from "../../src/verdict/footage-optics.js";
import { LIMITS, type LimitName } from "../../src/verdict/limits.js";
import { REASON_IDS } from "../../src/verdict/reason.js";
import { EFFECTS } from "../../src/verdict/settle.js";

const PAGE = readFileSync(new URL("../../docs/verdict.md", import.meta.url), "utf8");

/** Rows of the first table after a heading, cells trimmed, without the head. */
function tableAfter(heading: string): string[][] {
  const from = PAGE.indexOf(heading);
  expect(from, heading).toBeGreaterThan(0);
  const lines = PAGE.slice(from).split("\n");
  const first = lines.findIndex((line) => line.startsWith("| ---"));
  const rest = lines.slice(first + 1);
  return rest
    .slice(
      0,
      rest.findIndex((line) => !line.startsWith("|")),
    )
    .map((line) =>
      line
        .split("|")
        .slice(1, -1)
        .map((cell) => cell.trim()),
    );
}

const unquoted = (cell: string): string => cell.replaceAll("`", "");

describe("docs/verdict.md", () => {
  it("lists every reason", () => {
    expect(tableAfter("### The reasons").map(([id]) => unquoted(id!))).toEqual([...REASON_IDS]);
  });

  it("says what every failed check does, as the program does it", () => {
    const rows = tableAfter("### What a failed check does");
    expect(rows.map(([check]) => unquoted(check!)).sort()).toEqual(Object.keys(EFFECTS).sort());
    for (const [check, voids, floors] of rows) {
      const effects = EFFECTS[unquoted(check!)]!;
      const named = (cell: string, others: ReadonlySet<string>): ReadonlySet<string> => {
        const words = unquoted(cell);
        if (words === "all") return new Set(REASON_IDS);
        if (words === "all but D") return new Set(REASON_IDS.filter((id) => id !== "dterm-vibration"));
        if (words === "the rest") return new Set(REASON_IDS.filter((id) => !others.has(id)));
        return new Set(words === "" ? [] : words.split(", "));
      };
      const isVoid = named(voids!, new Set());
      const isFloor = named(floors!, isVoid);
      for (const id of REASON_IDS) {
        const said = isVoid.has(id) ? "void" : isFloor.has(id) ? "floor" : undefined;
        expect(effects[id], `${check}: ${id}`).toBe(said);
      }
    }
  });

  const PX: Readonly<Record<string, readonly LimitName[]>> = {
    "quiet band, RMS": ["quietBandMarginalPx", "quietBandLoudPx"],
    "structure in the quiet band, RMS": ["standingModePx", "modeResponsePx"],
    "mode near a rotor band, RMS": ["modeResponsePx"],
    "once per turn, amplitude": ["balanceMarginalPx", "balanceLoudPx"],
  };

  it("turns the limits in pixels into deg/s as the program does", () => {
    const rows = tableAfter("## Limits").filter(([figure]) => figure! in PX);
    expect(rows).toHaveLength(Object.keys(PX).length);
    for (const [figure, marginal, loud, ...sizes] of rows) {
      const names = PX[figure!]!;
      const pixels = names.map((name) => LIMITS[name].value);
      expect([marginal, loud].filter((cell) => cell!.endsWith("px"))).toEqual(pixels.map((px) => `${px} px`));
      for (const cell of sizes) {
        const [, rates, hz] = /^([\d. /]+) deg\/s at (\d+) Hz$/.exec(cell!)!;
        const peak = figure!.endsWith("amplitude") ? Math.SQRT2 : 1;
        for (const [i, rate] of rates!.split(" / ").entries()) {
          const value = peak * rmsRateFor(pixels[i]!, Number(hz), LIMITS.referenceFocalPx.value);
          expect(Math.abs(value / Number(rate) - 1), `${figure} at ${hz} Hz`).toBeLessThan(0.04);
        }
      }
    }
  });
});
