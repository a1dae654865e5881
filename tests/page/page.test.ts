import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { pathToFileURL } from "node:url";
import { gunzipSync } from "node:zlib";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { renderCharts } from "../../src/render/render-charts.js";
import { renderPage } from "../../src/render/render-page.js";
import { runTool } from "../cli/run-tool.js";
import { hostileFlight, inventedFlight, nothingKnown } from "../render/invented-flight.js";
import { badBoxes } from "./boxes.js";
import { noBrowser, note, openBrowser } from "./browser.js";

const SAMPLES = join(import.meta.dirname, "../../samples");
const ARTEFACTS = join(import.meta.dirname, "../../artefacts/pages");
const AXE = createRequire(import.meta.url).resolve("axe-core/axe.min.js");

describe.skipIf(noBrowser)(`the page in a browser${note}`, () => {
  let folder = "";
  let browser: Browser;
  const logs = readdirSync(SAMPLES).filter((name) => name.endsWith(".csv.gz"));

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), "page-"));
    mkdirSync(ARTEFACTS, { recursive: true });
    browser = await openBrowser();
    for (const log of logs)
      await runTool(["check", join(SAMPLES, log), "--quiet", "--format", "html", "--out", join(folder, log)]);
  }, 240_000);
  afterAll(async () => {
    await browser?.close();
    rmSync(folder, { recursive: true, force: true });
  });

  /** Opens a report and gathers all that it says and asks for. */
  async function open(
    path: string,
    options: { width: number; dark?: boolean; scripts?: boolean },
  ): Promise<{ page: Page; said: string[]; asked: string[] }> {
    const context = await browser.newContext({
      viewport: { width: options.width, height: 900 },
      colorScheme: options.dark ? "dark" : "light",
      javaScriptEnabled: options.scripts ?? true,
    });
    const page = await context.newPage();
    const said: string[] = [];
    const asked: string[] = [];
    page.on("console", (message) => said.push(message.text()));
    page.on("pageerror", (error) => said.push(error.message));
    page.on("request", (request) => {
      if (!/^(file|data):/.test(request.url())) asked.push(request.url());
    });
    await page.goto(pathToFileURL(path).href);
    return { page, said, asked };
  }

  test.each(logs)("%s: the page says nothing on the console and asks for nothing", async (log) => {
    for (const look of [
      { name: "light", width: 1600 },
      { name: "dark", width: 1600, dark: true },
      { name: "phone", width: 360 },
    ]) {
      const { page, said, asked } = await open(join(folder, log, "report.html"), look);
      expect(said).toEqual([]);
      expect(asked).toEqual([]);
      await page.screenshot({
        path: join(ARTEFACTS, `${basename(log, ".csv.gz")}-${look.name}.png`),
        fullPage: true,
      });
      if (look.name === "light")
        await page.pdf({ path: join(ARTEFACTS, `${basename(log, ".csv.gz")}.pdf`), format: "A4" });
      await page.context().close();
    }
  });

  test.each(logs)(
    "%s: every chart shows and stays inside its box, wide and narrow, with scripts blocked too",
    async (log) => {
      for (const [width, scripts] of [
        [1600, true],
        [360, true],
        [1600, false],
      ] as const) {
        const { page } = await open(join(folder, log, "report.html"), { width, scripts });
        expect(await badBoxes(page)).toEqual([]);
        expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true);
        await page.context().close();
      }
    },
  );

  test.each([
    ["thirty modes", inventedFlight({ modeCount: 30 })],
    ["hostile text", hostileFlight()],
    ["nothing known", nothingKnown()],
  ] as const)("an invented flight with %s keeps its charts inside their boxes", async (name, flight) => {
    const { result, evidence } = flight;
    const path = join(folder, `${name}.html`);
    writeFileSync(path, renderPage(result, evidence, await renderCharts(result, evidence)));
    for (const width of [360, 1600]) {
      const { page, asked } = await open(path, { width, scripts: false });
      expect(asked).toEqual([]);
      expect(await badBoxes(page)).toEqual([]);
      expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true);
      await page.context().close();
    }
  });

  test.each(logs)("%s: axe finds no violation, light and dark", async (log) => {
    for (const dark of [false, true]) {
      // The page's policy forbids foreign scripts, so the checker comes through a context that ignores it.
      const context = await browser.newContext({
        viewport: { width: 1200, height: 900 },
        colorScheme: dark ? "dark" : "light",
        bypassCSP: true,
      });
      const page = await context.newPage();
      await page.goto(pathToFileURL(join(folder, log, "report.html")).href);
      await page.addScriptTag({ path: AXE });
      const violations = await page.evaluate(async () => {
        const { axe } = globalThis as unknown as {
          axe: {
            run(): Promise<{
              violations: { id: string; nodes: { html: string; failureSummary?: string }[] }[];
            }>;
          };
        };
        const { violations } = await axe.run();
        return violations.map(
          (v) =>
            `${v.id}: ${v.nodes
              .slice(0, 3)
              .map((n) => `${n.html.slice(0, 160)} ${n.failureSummary ?? ""}`)
              .join(" | ")}`,
        );
      });
      expect(violations).toEqual([]);
      await context.close();
    }
  });

  test("pointing at a chart reads out frequency and level; keys move, pin and zoom", async () => {
    const { page, said } = await open(join(folder, "lifter-mode-in-motor-band.csv.gz", "report.html"), {
      width: 1600,
    });
    const figure = page.locator("#chart-spectrum-roll");
    await figure.scrollIntoViewIfNeeded();
    const box = (await figure.locator("svg").first().boundingBox())!;
    await page.mouse.move(box.x + box.width * 0.45, box.y + box.height * 0.3);
    await expect
      .poll(() => figure.locator(".readout").textContent())
      .toMatch(/frequency [\d.]+ Hz · raw [\d.e-]+/);
    await figure.focus();
    const before = await figure.locator(".readout").textContent();
    await page.keyboard.press("Shift+ArrowRight");
    expect(await figure.locator(".readout").textContent()).not.toBe(before);
    await page.keyboard.press("+");
    expect(await figure.locator(".ticktext").count()).toBeGreaterThan(0);
    await page.keyboard.press("0");
    expect(await figure.locator(".ticktext").count()).toBe(0);
    await page.getByRole("button", { name: "filtered" }).click();
    expect(await figure.locator(".curve-filtered").first().isVisible()).toBe(false);
    expect(said).toEqual([]);
    await page.context().close();
  });

  test("a frequency of the modes table marks every chart; a drag zooms all that share the axis", async () => {
    const { page, said } = await open(join(folder, "lifter-mode-in-motor-band.csv.gz", "report.html"), {
      width: 1600,
    });
    await page.locator("[data-hz] button").first().click();
    for (const chart of ["spectrum-pitch", "throttle-map-roll", "time-map-roll", "campbell"]) {
      expect(await page.locator(`#chart-${chart} .pin:not(.gone)`).count(), chart).toBeGreaterThan(0);
    }
    const figure = page.locator("#chart-spectrum-roll");
    await figure.focus();
    await page.keyboard.press("Escape");
    expect(await page.locator(".pin:not(.gone)").count()).toBe(0);
    const box = (await figure.locator("svg").first().boundingBox())!;
    const y = box.y + box.height * 0.3;
    await page.mouse.move(box.x + box.width * 0.4, y);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width * 0.6, y, { steps: 3 });
    await page.mouse.up();
    expect(await page.locator("#chart-spectrum-yaw svg.zoomed").count()).toBe(1);
    expect(await page.locator("#chart-band-strip svg.zoomed").count()).toBeGreaterThan(0);
    expect(await page.locator("#chart-time-map-roll svg.zoomed").count()).toBe(0);
    const map = page.locator("#chart-throttle-map-roll");
    await map.scrollIntoViewIfNeeded();
    const place = (await map.locator("svg").first().boundingBox())!;
    await expect
      .poll(async () => {
        await page.mouse.move(
          place.x + place.width * (0.4 + Math.random() / 50),
          place.y + place.height * 0.5,
        );
        return map.locator(".readout").textContent();
      })
      .toMatch(/throttle [\d.]+ % · frequency [\d.]+ Hz · -?[\d.]+ dB re 1/);
    expect(said).toEqual([]);
    await page.context().close();
  });

  test("a hostile log shows as harmless text everywhere", async () => {
    const evil = `<img src=x onerror=alert(1)>"'&\u001b[31m\u202E${"A".repeat(10_000)}`;
    const text = gunzipSync(readFileSync(join(SAMPLES, "loose-arm-before.csv.gz"))).toString("utf8");
    const lines = text.split("\n").slice(0, 12_000);
    const header = lines.findIndex((line) => line.includes("gyro"));
    lines[header] = `${lines[header]},"${evil.replaceAll('"', '""')}"`;
    for (let i = header + 1; i < lines.length; i++) lines[i] = `${lines[i]},1`;
    const hostile = join(folder, `=cmd()<script>alert(2)</script>\u202Egpj.csv`.replaceAll("/", "∕"));
    writeFileSync(hostile, `# craft: ${evil}\n# <script>alert(3)</script>: =1+1\n${lines.join("\n")}\n`);
    const out = join(folder, "hostile");
    const run = await runTool(["check", hostile, "--out", out, "--format", "html,json,svg,csv"]);
    expect([0, 1, 3]).toContain(run.status);
    for (const shown of [run.stdout, run.stderr]) expect(shown).not.toMatch(/\u001b|\u202E|\u0007/);
    for (const name of readdirSync(out)) {
      const content = readFileSync(join(out, name), "utf8");
      expect(content).not.toMatch(/\u001b|\u202E/);
      if (name.endsWith(".html") || name.endsWith(".svg"))
        expect(content).not.toMatch(/<img src=x|<script>alert/);
      if (name.endsWith(".csv"))
        for (const line of content.split("\n")) expect(line).not.toMatch(/(^|,)"?[=+@]/);
    }
    const { page, said, asked } = await open(join(out, "report.html"), { width: 1200 });
    expect([...said, ...asked]).toEqual([]);
    expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true);
    await page.context().close();
  });
});
