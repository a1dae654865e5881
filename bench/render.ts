import { readFileSync } from "node:fs";
import { basename } from "node:path";
import { gzipSync } from "node:zlib";
import { analyseLog } from "../src/analyse.js";
import type { Evidence } from "../src/evidence.js";
import {
  renderCharts,
  renderCurves,
  renderJson,
  renderPage,
  renderPng,
  renderText,
} from "../src/render/index.js";
import type { Result } from "../src/result.js";
import { inventedFlight } from "../tests/render/invented-flight.js";

/**
 * Time and size of rendering, apart from analysis: `npx tsx bench/render.ts [LOG…]`. Without a log it draws an
 * invented flight of ten minutes. The first run of a process is what a user waits for; the median of the rest shows
 * what the work itself costs.
 */
interface Timed {
  readonly what: string;
  readonly firstMs: number;
  readonly medianMs: number;
  readonly kilobytes: number;
}

const RUNS = 7;
const size = (text: string | Uint8Array): number =>
  typeof text === "string" ? Buffer.byteLength(text) : text.length;

async function timed(what: string, run: () => Promise<number> | number): Promise<Timed> {
  const times: number[] = [];
  let bytes = 0;
  for (let i = 0; i < RUNS; i++) {
    const start = performance.now();
    bytes = await run();
    times.push(performance.now() - start);
  }
  const rest = times.slice(1).sort((a, b) => a - b);
  return { what, firstMs: times[0]!, medianMs: rest[rest.length >> 1]!, kilobytes: bytes / 1000 };
}

async function benchFlight(
  name: string,
  { result, evidence }: { result: Result; evidence: Evidence },
): Promise<void> {
  const total = (parts: readonly (string | Uint8Array)[]): number =>
    parts.reduce((sum, p) => sum + size(p), 0);
  // The page first, while the process is cold.
  const page = await timed("page with its charts", async () =>
    size(renderPage(result, evidence, await renderCharts(result, evidence))),
  );
  const charts = await renderCharts(result, evidence);
  const rows = [
    page,
    await timed("SVG files", async () => total((await renderCharts(result, evidence)).map((c) => c.svg))),
    await timed("one PNG", async () => size(await renderPng(charts[0]!.svg))),
    await timed("JSON", () => size(renderJson(result))),
    await timed("CSV of every curve", () => total(renderCurves(result, evidence).map((c) => c.csv))),
    await timed("terminal text", () =>
      size(renderText(result, { colour: true, unicode: true, reportPath: null, verbose: true, evidence })),
    ),
  ];
  console.log(`\n${name}: ${charts.length} charts`);
  console.log("what".padEnd(24) + "first ms".padStart(10) + "median ms".padStart(11) + "kB".padStart(9));
  for (const r of rows) {
    console.log(
      r.what.padEnd(24) +
        r.firstMs.toFixed(0).padStart(10) +
        r.medianMs.toFixed(1).padStart(11) +
        r.kilobytes.toFixed(0).padStart(9),
    );
  }
  const html = renderPage(result, evidence, charts);
  console.log(`page, gzip'd: ${(gzipSync(html).length / 1000).toFixed(0)} kB`);
}

const logs = process.argv.slice(2);
if (logs.length === 0)
  await benchFlight("invented flight of ten minutes", inventedFlight({ seconds: 600, bins: 2049 }));
for (const log of logs) {
  await benchFlight(basename(log), await analyseLog(readFileSync(log), { file: basename(log) }));
}
