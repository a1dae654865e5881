export type { Chart, ChartGroup, ChartTable, Panel } from "./charts/chart.js";
export { renderJson } from "./json.js";
export { renderPng } from "./png.js";
export { renderCharts } from "./render-charts.js";
export { type CurveFile, renderCurves } from "./render-curves.js";
export { renderPage } from "./render-page.js";
export { type Format, type ReportFile, reportFiles } from "./report-files.js";
export { renderText, type TextOptions } from "./text.js";
