import type { Evidence } from "../evidence.js";
import type { Result } from "../result.js";
import { shown } from "../text/escape.js";
import type { Chart, ChartGroup } from "./charts/chart.js";
import { features } from "./charts/features.js";
import { otherSections } from "./page/extras.js";
import { figure } from "./page/figure.js";
import { filtersSection } from "./page/filters-section.js";
import { axisTable, modesTable } from "./page/findings.js";
import { section } from "./page/markup.js";
import { callSection, firstModeSection, reasonsSection } from "./page/opening.js";
import { PAGE_SCRIPT } from "./page/page-script.js";
import { pageShell } from "./page/page-shell.js";
import { pageStyle } from "./page/page-style.js";
import { cautionsSection, logSection, qualitySection, settingsSection } from "./page/record.js";

/**
 * The page: one HTML file that opens from disk, asks for no network and shows every chart without scripts.
 *
 * @param charts what `renderCharts` gave for the same result
 */
export function renderPage(result: Result, evidence: Evidence, charts: readonly Chart[]): string {
  const of = (group: ChartGroup): Chart[] => charts.filter((c) => c.group === group);
  const body = [
    `<a class="skip" href="#call">To the verdict</a>`,
    `<header><b>quietspar</b><span>${shown(result.log.file, 120)}</span></header>`,
    "<main>",
    callSection(result),
    firstModeSection(result),
    reasonsSection(result),
    section(
      "strip",
      "Quiet, turning, staying put",
      of("strip")
        .map((c) => figure(c, 3))
        .join("") + axisTable(result),
    ),
    section("charts", "Charts", chartsBody(result, of, lacking(evidence))),
    filtersSection(result, of("filters")),
    otherSections(result),
    qualitySection(result),
    logSection(result),
    settingsSection(result),
    cautionsSection(result),
    "</main>",
    `<footer>Made by quietspar ${shown(result.tool.version, 40)} from ${shown(result.log.file, 120)}. Evidence, not airworthiness.</footer>`,
  ].join("\n");
  return pageShell({
    title: `${result.verdict.call}: ${result.log.file}`,
    style: pageStyle(),
    script: PAGE_SCRIPT,
    data: { drawings: drawings(charts), features: features(result) },
    body,
  });
}

const GROUPS: readonly { readonly group: ChartGroup; readonly title: string }[] = [
  { group: "spectra", title: "Spectra per axis" },
  { group: "throttle", title: "Frequency against throttle" },
  { group: "time", title: "Spectrum over time" },
  { group: "orders", title: "Order amplitude per motor" },
  { group: "fits", title: "Modes close up" },
];

function chartsBody(result: Result, of: (group: ChartGroup) => Chart[], missing: string): string {
  const grids = GROUPS.map(({ group, title }) => {
    const charts = of(group);
    if (charts.length === 0) return "";
    return `<h3>${title}</h3><div class="grid">${charts.map((c) => figure(c)).join("")}</div>`;
  });
  return [
    of("campbell")
      .map((c) => figure(c, 3))
      .join(""),
    modesTable(result),
    ...grids,
    missing,
  ].join("\n");
}

/** Names the charts that the log could not feed. */
function lacking(evidence: Evidence): string {
  const none = (values: Readonly<Record<string, unknown>>): boolean =>
    Object.values(values).every((v) => v === null);
  const parts = [
    none(evidence.throttleMap) ? "frequency against throttle (no throttle or no gyro)" : "",
    none(evidence.timeMap) ? "spectrum over time" : "",
    evidence.orderHistory.length === 0 ? "order amplitude per motor (rotor speed not known per motor)" : "",
    none(evidence.fixed) ? "modes close up" : "",
  ].filter((p) => p !== "");
  return parts.length === 0 ? "" : `<p>Not drawn for want of data: ${parts.join("; ")}.</p>`;
}

/** Where the plots of each drawing lie, by the drawing's name: what the script needs for pointing and zooming. */
function drawings(charts: readonly Chart[]): Record<string, unknown> {
  const entries = charts.flatMap((c): [string, unknown][] => [
    [c.name, c.panels],
    ...(c.narrow ? [[`${c.name}-narrow`, c.narrow.panels] as [string, unknown]] : []),
  ]);
  return Object.fromEntries(entries);
}
