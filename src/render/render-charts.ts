import type { Evidence } from "../evidence.js";
import type { Result } from "../result.js";
import { bandStrip } from "./charts/band-strip.js";
import type { Chart, Sketch } from "./charts/chart.js";
import { drawAll } from "./charts/to-svg.js";

/**
 * Every chart that this flight can feed, as SVG that stands alone: text stays text, colours are those of light
 * paper, the same input gives the same bytes. The drawing library is loaded on the first call.
 */
export async function renderCharts(result: Result, evidence: Evidence): Promise<readonly Chart[]> {
  return drawAll(sketches(result, evidence));
}

function sketches(result: Result, evidence: Evidence): Sketch[] {
  void evidence;
  return [bandStrip(result)];
}
