import type { Comparison } from "../compare/comparison.js";
import { compareCharts } from "./compare-charts.js";
import { renderCompareJson } from "./compare-json.js";
import { renderComparePage } from "./compare-page.js";
import type { ReportFile } from "./report-files.js";

/** The page and the numbers of a comparison. */
export async function compareFiles(comparison: Comparison): Promise<ReportFile[]> {
  const charts = await compareCharts(comparison);
  return [
    { name: "comparison.html", content: renderComparePage(comparison, charts) },
    { name: "comparison.json", content: renderCompareJson(comparison) },
  ];
}
