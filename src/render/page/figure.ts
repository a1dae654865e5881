import { shown } from "../../text/escape.js";
import type { Chart } from "../charts/chart.js";
import { table } from "./markup.js";

/** A chart on the page: its drawing (wide and narrow), and the same in words and numbers. */
export function figure(chart: Chart, level: 3 | 4 = 4): string {
  const axis = /-(roll|pitch|yaw)$/.exec(chart.name)?.[1];
  const wide = chart.narrow
    ? drawing(chart.svg, chart.name, "wide") + drawing(chart.narrow.svg, chart.name + "-narrow", "narrow")
    : drawing(chart.svg, chart.name, "both");
  const numbers = chart.table.rows.length > 0 ? table(chart.table, chart.title) : "";
  return (
    `<figure id="chart-${chart.name}"${axis ? ` data-axis="${axis}"` : ""}>` +
    `<figcaption><h${level}>${shown(chart.title)}</h${level}></figcaption>${wide}` +
    `<details><summary>In words and numbers<span class="hush">: ${shown(chart.title)}</span></summary>` +
    `<p>${shown(chart.alt, 1200)}</p>${numbers}</details></figure>`
  );
}

function drawing(svg: string, name: string, kind: "wide" | "narrow" | "both"): string {
  return `<div class="draw ${kind}" data-drawing="${name}">${svg}</div>`;
}
