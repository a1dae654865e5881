import type { Result } from "../../result.js";
import { shown } from "../../text/escape.js";
import type { Chart } from "../charts/chart.js";
import { filterStudyOf } from "../filter-study.js";
import { figure as number, percent } from "../format.js";
import { figure as drawFigure } from "./figure.js";
import { section, table } from "./markup.js";

/** What filtering costs, when it was studied: advice first, then the comparison, then what was measured. */
export function filtersSection(result: Result, charts: readonly Chart[]): string {
  const study = filterStudyOf(result.filters);
  if (study === null) return "";
  const rows = study.candidates.map((c) => [c.role, c.chain, c.delay, c.phase, c.gyro, c.dterm]);
  const points = (list: readonly string[]): string =>
    list.length === 0 ? "" : `<ul>${list.map((a) => `<li>${shown(a, 600)}</li>`).join("")}</ul>`;
  const head = ["part", "filters", "delay", "phase lost", "gyro left, RMS", "D-term left, RMS (95 %)"];
  const compared =
    rows.length === 0 ? "" : table({ head, rows }, "Filter chains compared (predicted, open loop)");
  return section(
    "filters",
    "What filtering costs",
    [
      points(study.advice),
      ...charts.map((c) => drawFigure(c, 3)),
      details("Filter chains compared", compared),
      details("Measured in this log", measured(study.measured)),
      details("What was assumed", points(study.doubts)),
    ].join("\n"),
  );
}

const details = (summary: string, body: string): string =>
  body === "" ? "" : `<details><summary>${shown(summary)}</summary>${body}</details>`;

type Fields = Readonly<Record<string, unknown>>;

function measured(list: readonly unknown[]): string {
  const rows = list.filter((m): m is Fields => typeof m === "object" && m !== null).map(measuredRow);
  return rows.length === 0
    ? ""
    : table(
        { head: ["path", "axis", "throttle", "delay, ms", "95 % interval", "coherence", "why not"], rows },
        "Delay measured in this log",
      );
}

function measuredRow(m: Fields): string[] {
  const known = (key: string): number | null => (typeof m[key] === "number" ? m[key] : null);
  const interval = Array.isArray(m["ci95Ms"])
    ? (m["ci95Ms"] as number[]).map((v) => number(v)).join(" to ")
    : "unknown";
  const path = m["path"] === "dterm" ? "raw gyro to D-term" : "raw to filtered gyro";
  return [
    path,
    String(m["axis"] ?? ""),
    percent(known("throttle")),
    number(known("delayMs")),
    interval,
    number(known("coherence"), 2),
    String(m["why"] ?? ""),
  ];
}
