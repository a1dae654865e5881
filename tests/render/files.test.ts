import { expect, test } from "vitest";
import { meetings } from "../../src/render/charts/campbell.js";
import { folded } from "../../src/render/charts/features.js";
import { colourNumbers, palettePng } from "../../src/render/charts/palette.js";
import { thinSpectrum } from "../../src/render/charts/thin-spectrum.js";
import { renderJson } from "../../src/render/json.js";
import { renderPng } from "../../src/render/png.js";
import { renderCharts } from "../../src/render/render-charts.js";
import { renderCurves } from "../../src/render/render-curves.js";
import { renderPage } from "../../src/render/render-page.js";
import { csvCell, jsonForMarkup } from "../../src/text/escape.js";
import { hostileFlight, inventedFlight, nothingKnown } from "./invented-flight.js";

test("renderJson(result) refuses a number that is not one, and says where", () => {
  const { result } = inventedFlight();
  const broken = { ...result, log: { ...result.log, durationS: Number.NaN } };
  expect(() => renderJson(broken)).toThrow(/log\.durationS/);
});

test("renderJson(result) gives the same bytes twice and reads back", () => {
  const { result } = inventedFlight();
  expect(renderJson(result)).toBe(renderJson(structuredClone(result)));
  expect(JSON.parse(renderJson(result)).verdict.call).toBe(result.verdict.call);
});

test("renderCharts(result, evidence) draws every kind of chart, the same twice", async () => {
  const { result, evidence } = inventedFlight();
  const charts = await renderCharts(result, evidence);
  expect([...new Set(charts.map((c) => c.group))]).toEqual(
    expect.arrayContaining(["strip", "campbell", "spectra", "throttle", "time", "orders", "fits"]),
  );
  const again = await renderCharts(result, evidence);
  expect(charts.every((c, i) => c.svg === again[i]?.svg)).toBe(true);
  for (const { svg, alt } of charts) {
    expect(svg).toMatch(/^<svg[^>]*role="img"/);
    expect(svg).toContain("<text");
    expect(alt).toMatch(/\d|no |not /i);
    // Every group that opens closes: the drawing is well-formed.
    expect(svg.match(/<g[\s>]/g)?.length).toBe(
      (svg.match(/<\/g>/g)?.length ?? 0) + (svg.match(/<g[^>]*\/>/g)?.length ?? 0),
    );
  }
});

test("renderCharts(nothing known) still draws the strip and does not throw", async () => {
  const { result, evidence } = nothingKnown();
  expect((await renderCharts(result, evidence)).map((c) => c.name)).toContain("band-strip");
});

test("renderPage(result, evidence, charts) keeps the order of its parts and forbids the network", async () => {
  const { result, evidence } = inventedFlight();
  const page = renderPage(result, evidence, await renderCharts(result, evidence));
  const order = [
    "call",
    "first-mode",
    "reasons",
    "strip",
    "charts",
    "quality",
    "log",
    "settings",
    "cautions",
  ];
  const at = order.map((id) => page.indexOf(`<section id="${id}"`));
  expect(at.every((p) => p > 0)).toBe(true);
  expect([...at].sort((a, b) => a - b)).toEqual(at);
  expect(page).toContain("default-src 'none'");
  expect(/https?:\/\/(?!www\.w3\.org)/.test(page)).toBe(false);
});

test("a page of a ten-minute flight stays under 3 MB", async () => {
  const { result, evidence } = inventedFlight({ seconds: 600 });
  expect(renderPage(result, evidence, await renderCharts(result, evidence)).length).toBeLessThan(3e6);
});

test("a hostile flight's page and charts hold no markup of its own", async () => {
  const { result, evidence } = hostileFlight();
  const page = renderPage(result, evidence, await renderCharts(result, evidence));
  expect(/<img|<script>alert/.test(page)).toBe(false);
  expect(/[\u202a-\u202e\u2066-\u2069\u001b]/.test(page)).toBe(false);
});

test("renderCurves(result, evidence) names units and lets no formula through", () => {
  const { result, evidence } = hostileFlight();
  for (const { csv } of renderCurves(result, evidence)) {
    expect(csv.split("\n")[0]).toMatch(/Hz|deg\/s|\bs\b|dB/);
    for (const line of csv.split("\n")) expect(line).not.toMatch(/(^|,)"?[=@]/);
  }
});

test("csvCell(text) neutralises what a spreadsheet would run", () => {
  for (const text of ["=1+1", "+1", "-cmd", "@sum", "\t=1"])
    expect(csvCell(text)).not.toMatch(/^"?[=+\-@\t]/);
  expect(csvCell(-1.5)).toBe("-1.5");
});

test("jsonForMarkup(value) cannot end its script element", () => {
  expect(jsonForMarkup({ a: "</script><!--" })).not.toMatch(/<\/script|<!--/);
});

test("palettePng(pixels) is a PNG of the size asked for", () => {
  const url = palettePng(Uint8Array.from([0, 127, 254, 255]), 2, 2);
  const bytes = Buffer.from(url.slice(url.indexOf(",") + 1), "base64");
  expect([...bytes.subarray(0, 8)]).toEqual([137, 80, 78, 71, 13, 10, 26, 10]);
  expect([bytes.readUInt32BE(16), bytes.readUInt32BE(20)]).toEqual([2, 2]);
});

test("colourNumbers(levels, domain) spans the scale and marks what is not known", () => {
  expect([...colourNumbers([-40, 20, -10, Number.NaN, 99], [-40, 20])]).toEqual([0, 254, 127, 255, 254]);
});

test("folded(hz, nyquist) folds about 0 and Nyquist", () => {
  // Arithmetic of |f − fs·round(f/fs)|: 620 Hz in a log of 1 kHz lies at 380 Hz, 1240 Hz at 240 Hz.
  expect(folded(620, 500)).toBe(380);
  expect(folded(1240, 500)).toBe(240);
  expect(folded(499, 500)).toBe(499);
});

test("meetings(result) puts an order on a mode where order times rotor frequency is the mode's", () => {
  const { result } = inventedFlight();
  for (const { mode, order, rotorHz } of meetings(result)) {
    expect(folded(order * rotorHz, result.log.nyquistHz)).toBeCloseTo(mode.frequencyHz, 6);
  }
});

test("thinSpectrum(spectrum, domain) keeps a narrow line and the mean of noise", () => {
  const { evidence } = inventedFlight({ bins: 4096 });
  const spectrum = evidence.spectra.roll.raw!;
  const points = thinSpectrum(spectrum, [5, 500]);
  const top = Math.max(...Array.from(spectrum.density).filter((_, k) => spectrum.frequency[k]! >= 5));
  expect(points.length).toBeLessThanOrEqual(400);
  expect(Math.max(...points.map((p) => p.y))).toBeGreaterThan(top / 4);
});

test("renderPng(svg) gives a picture twice the drawing's size", async () => {
  const { result, evidence } = inventedFlight();
  const [strip] = await renderCharts(result, evidence);
  const png = Buffer.from(await renderPng(strip!.svg));
  const width = Number(/width="(\d+)"/.exec(strip!.svg)![1]);
  expect(png.readUInt32BE(16)).toBe(2 * width);
});
