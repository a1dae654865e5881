import type { Comparison } from "../compare/comparison.js";
import type { Chart } from "./charts/chart.js";
import { drawAll } from "./charts/to-svg.js";
import { differenceChart } from "./compare-difference.js";
import { overlayChart } from "./compare-overlay.js";
import { trendChart } from "./compare-trend.js";

/** Every chart that a comparison can feed: both spectra overlaid, the differences with their intervals, the trend. */
export async function compareCharts(comparison: Comparison): Promise<readonly Chart[]> {
  const overlaid = comparison.overlay
    .filter((curve) => curve.beforeDb.some((db) => db !== null))
    .map((curve) => overlayChart(curve, comparison));
  const differences = comparison.axes.map(({ axis }) => differenceChart(axis, comparison));
  const trend = comparison.trend.length > 2 ? [trendChart(comparison.trend)] : [];
  return drawAll([...overlaid, ...differences, ...trend]);
}
