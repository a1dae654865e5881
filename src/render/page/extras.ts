import type { Result } from "../../result.js";
import { shown } from "../../text/escape.js";
import type { Chart } from "../charts/chart.js";
import { filterStudyOf } from "../filter-study.js";
import { figure as drawFigure } from "./figure.js";
import { anything, section, table } from "./markup.js";

/** What filtering costs, when it was studied. */
export function filtersSection(result: Result, charts: readonly Chart[]): string {
  const study = filterStudyOf(result.filters);
  if (study === null) return "";
  const rows = study.candidates.map((c) => [c.chain, c.delay, c.phase, c.gyro, c.dterm]);
  const advice =
    study.advice.length === 0 ? "" : `<ul>${study.advice.map((a) => `<li>${shown(a)}</li>`).join("")}</ul>`;
  const measured =
    study.measured.length === 0 ? "" : `<h3>Measured in this log</h3>${anything(study.measured)}`;
  const head = ["filters", "delay", "phase lost", "gyro left, RMS", "D-term left, RMS"];
  const compared = rows.length === 0 ? "" : table({ head, rows }, "Filter chains compared");
  return section(
    "filters",
    "What filtering costs",
    [...charts.map((c) => drawFigure(c, 3)), compared, advice, measured].join("\n"),
  );
}

/** Sections of other parts of the program, shown as they are. */
export function otherSections(result: Result): string {
  const show = (id: string, title: string, value: unknown): string =>
    value === null || value === undefined ? "" : section(id, title, anything(value));
  return (
    show("footage", "What a camera would see", result.footage) +
    show("history", "Against earlier flights", result.history)
  );
}
