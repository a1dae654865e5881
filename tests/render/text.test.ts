import { expect, test } from "vitest";
import { renderText } from "../../src/render/text.js";
import { columnsOf } from "../../src/text/columns.js";
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
