import type { Evidence } from "../evidence.js";
import type { Result } from "../result.js";
import { bandStrip } from "./charts/band-strip.js";
import { campbell } from "./charts/campbell.js";
import type { Chart, Sketch } from "./charts/chart.js";
import { filterTradeOff } from "./charts/filter-trade-off.js";
import { throttleCharts, timeCharts } from "./charts/heat-charts.js";
import { modeFitCharts } from "./charts/mode-fit.js";
import { orderChart } from "./charts/order-amplitude.js";
import { spectraCharts } from "./charts/spectra.js";
import { drawAll } from "./charts/to-svg.js";

/**
 * Every chart that this flight can feed, as SVG that stands alone: text stays text, colours are those of light
 * paper, the same input gives the same bytes. The drawing library is loaded on the first call.
 */
export async function renderCharts(result: Result, evidence: Evidence): Promise<readonly Chart[]> {
  return drawAll(sketches(result, evidence));
}

/** In the order of the page. */
function sketches(result: Result, evidence: Evidence): Sketch[] {
  const some = (sketch: Sketch | null): Sketch[] => (sketch === null ? [] : [sketch]);
  return [
    bandStrip(result),
    ...some(campbell(result)),
    ...spectraCharts(result, evidence),
    ...throttleCharts(result, evidence),
    ...timeCharts(result, evidence),
    ...some(orderChart(result, evidence)),
    ...modeFitCharts(result, evidence),
    ...some(filterTradeOff(result)),
  ];
}
