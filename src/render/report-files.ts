import type { Evidence } from "../evidence.js";
import type { Result } from "../result.js";
import type { Chart } from "./charts/chart.js";
import { renderJson } from "./json.js";

export type Format = "html" | "json" | "svg" | "png" | "csv";

export interface ReportFile {
  readonly name: string;
  readonly content: string | Uint8Array;
}

type Maker = (input: {
  readonly result: Result;
  readonly evidence: Evidence;
  readonly charts: readonly Chart[];
}) => Promise<ReportFile[]>;

/** One output format, one maker; modules load only when asked for. */
const MAKERS: Readonly<Record<Format, Maker>> = {
  html: async ({ result, evidence, charts }) => {
    const { renderPage } = await import("./render-page.js");
    return [{ name: "report.html", content: renderPage(result, evidence, charts) }];
  },
  json: async ({ result }) => [{ name: "result.json", content: renderJson(result) }],
  svg: async ({ charts }) => charts.map((c) => ({ name: `${c.name}.svg`, content: c.svg + "\n" })),
  png: async ({ charts }) => {
    const { renderPng } = await import("./png.js");
    return Promise.all(charts.map(async (c) => ({ name: `${c.name}.png`, content: await renderPng(c.svg) })));
  },
  csv: async ({ result, evidence }) => {
    const { renderCurves } = await import("./render-curves.js");
    return renderCurves(result, evidence).map((c) => ({ name: `${c.name}.csv`, content: c.csv }));
  },
};

/** The files of a report in the formats asked for; charts are drawn once, and only when a format shows them. */
export async function reportFiles(
  result: Result,
  evidence: Evidence,
  formats: readonly Format[],
): Promise<ReportFile[]> {
  const drawn = formats.some((f) => f === "html" || f === "svg" || f === "png");
  const charts = drawn ? await (await import("./render-charts.js")).renderCharts(result, evidence) : [];
  const files = await Promise.all([...new Set(formats)].map((f) => MAKERS[f]({ result, evidence, charts })));
  return files.flat();
}
