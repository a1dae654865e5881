import { describe, expect, it } from "vitest";
import { compareFlights } from "../../src/compare/compare-flights.js";
import { compareFiles } from "../../src/render/compare-files.js";
import { renderCompareText } from "../../src/render/compare-text.js";
import { columnsOf } from "../../src/text/columns.js";
import { BLANK, fly, mode } from "./flights.js";

const plain = { colour: false, unicode: true, pagePath: "somewhere/comparison.html", verbose: false };
const before = fly(1);
const after = fly(3, { flight: { profile: "cruise" }, rotors: { bad: { motor: 2, factor: 3 } } });
const hostile = `</script><img src=x onerror=alert(1)>\u001b[31m${"w".repeat(300)}.csv`;

describe("renderCompareText", () => {
  it.each([
    ["two flights", compareFlights([before, after])],
    ["three flights", compareFlights([before, after, { ...after, name: hostile }])],
    ["a refusal", compareFlights([before, { ...BLANK, gyro: "filtered" }])],
  ])("fits 24 lines of 80 columns: %s", (_, comparison) => {
    const lines = renderCompareText(comparison, plain).trimEnd().split("\n");
    expect(lines.length).toBeLessThanOrEqual(23);
    for (const line of lines) expect(columnsOf(line)).toBeLessThanOrEqual(80);
    expect(lines.at(-1)).toMatch(/not a statement of airworthiness/);
  });
  it("says the finding in words, so that colour is not needed", () => {
    expect(renderCompareText(compareFlights([before, after]), plain)).toMatch(/^worse .*motor 2/m);
  });
  it("writes ASCII where asked", () => {
    const text = renderCompareText(compareFlights([before, after]), { ...plain, unicode: false });
    expect(text).toMatch(/^[\x20-\x7e\n]*$/);
  });
});

describe("compareFiles", () => {
  it("makes one page that asks for nothing, with overlay, difference and trend", async () => {
    const [page] = await compareFiles(compareFlights([before, { ...before, name: hostile }, after]));
    const html = page!.content as string;
    expect(page!.name).toBe("comparison.html");
    expect(html).not.toMatch(/(?:src|href)="(?:https?:)?\/\//);
    expect(html).toContain("default-src 'none'");
    expect(html).not.toContain("<img src=x");
    for (const name of ["compare-overlay-roll", "compare-difference-yaw", "compare-trend"]) {
      expect(html).toContain(`id="chart-${name}"`);
    }
  });
  it("says on the page why flights cannot be compared", async () => {
    const [page] = await compareFiles(compareFlights([before, { ...BLANK, gyro: "filtered" }]));
    expect(page!.content).toMatch(/Not comparable/);
  });
  it("draws what modes alone allow", async () => {
    const flights = [100, 101].map((hz) => ({
      ...BLANK,
      modes: [mode(hz)],
      sha256: `${hz}`.repeat(21) + "0",
    }));
    const files = await compareFiles(compareFlights(flights));
    expect(files.map((f) => f.name)).toEqual(["comparison.html", "comparison.json"]);
  });
});
