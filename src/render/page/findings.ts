import type { Result } from "../../result.js";
import { shown } from "../../text/escape.js";
import { AXES } from "../../units.js";
import { certainty, figure, listed, modeHz, percent, quantity, range } from "../format.js";
import { dtermCell, firstModeLine, quietBandCells, strongestLineCell } from "../summary-lines.js";
import { table } from "./markup.js";

/** The three axes side by side, in numbers. */
export function axisTable(result: Result): string {
  const rows = AXES.map((axis) => {
    const s = result.axes[axis];
    const ci = s.quietBand.ci95Dps;
    return [
      axis,
      ...quietBandCells(s),
      ci === null ? "unknown" : range(ci, "deg/s"),
      quantity(s.quietBand.floorDps, "deg/s"),
      strongestLineCell(s),
      dtermCell(s),
    ];
  });
  const head = [
    "axis",
    "quiet band",
    "shake in it, RMS",
    "95 % interval",
    "floor",
    "strongest line",
    "D-term at most, log's unit",
  ];
  return table({ head, rows }, "Per axis");
}

/** Every mode; a frequency becomes a button where scripts run, and marks that frequency in all charts. */
export function modesTable(result: Result): string {
  if (result.modes.length === 0) return `<p>Modes: ${shown(firstModeLine(result))}.</p>`;
  const rows = result.modes.map((m) => {
    const cells = [
      range(m.ci95Hz, "Hz", 4),
      percent(m.dampingRatio),
      m.kind,
      listed(m.axes.map((a) => `${a.axis} ${figure(a.prominenceDb, 2)} dB`)),
      certainty(m.confidence),
      { both: "both methods", one: "one method", untested: "untested" }[m.agreement],
      m.excitedBy.map((e) => excitation(e.order, e.throttle)).join("; ") || "none in the flown range",
    ];
    const tds = cells.map((c) => `<td>${shown(c)}</td>`).join("");
    return `<tr><th scope="row" data-hz="${m.frequencyHz}">${shown(modeHz(m))}</th>${tds}</tr>`;
  });
  const head = [
    "frequency",
    "95 % interval",
    "damping",
    "kind",
    "axes, above the floor",
    "confidence",
    "found by",
    "order that crosses it",
  ];
  return (
    `<div class="scroll" tabindex="0" role="region" aria-label="Modes"><table><caption>Modes: what stays put</caption><thead><tr>` +
    `${head.map((h) => `<th scope="col">${h}</th>`).join("")}</tr></thead><tbody>${rows.join("")}</tbody></table></div>`
  );
}

function excitation(order: number, throttle: number | null): string {
  const at = throttle === null ? "" : ` at ${percent(throttle)} throttle`;
  return `order ${figure(order, 2).replace(/\.0$/, "")}${at}`;
}
