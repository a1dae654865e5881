import type { Answer, Comparison, Finding, LevelChange } from "../compare/comparison.js";
import type { Call } from "../result.js";
import { shown } from "../text/escape.js";
import { callMarkSvg } from "./call-mark.js";
import type { Chart } from "./charts/chart.js";
import { duration, figure, modeHzWithInterval, range } from "./format.js";
import { figure as chartFigure } from "./page/figure.js";
import { pairs, paragraph, section, table } from "./page/markup.js";
import { pageShell } from "./page/page-shell.js";
import { pageStyle } from "./page/page-style.js";

/** The comparison's page: one HTML file that opens from disk, asks for no network and runs no script. */
export function renderComparePage(comparison: Comparison, charts: readonly Chart[]): string {
  const { flights, comparable } = comparison;
  const title = `${flights[0]!.file} against ${flights.at(-1)!.file}`;
  const body = [
    `<a class="skip" href="#answers">To the answers</a>`,
    `<header><b>quietspar</b><span>${shown(title, 200)}</span></header>`,
    "<main>",
    answersSection(comparison),
    ...(comparable ? [chartsSection(charts), linesSection(comparison), modesSection(comparison)] : []),
    flightsSection(comparison),
    section(
      "cautions",
      "Keep in mind",
      `<ul>${[...comparison.caveats, ...CAUTIONS].map((c) => `<li>${shown(c)}</li>`).join("")}</ul>`,
    ),
    "</main>",
    `<footer>Made by quietspar ${shown(comparison.tool.version, 40)}. Evidence, not airworthiness.</footer>`,
  ].join("\n");
  return pageShell({
    title: `comparison: ${title}`,
    style: pageStyle() + OWN_STYLE,
    script: "",
    data: {},
    body,
  });
}

/** Words of a finding are longer than those of a reason; tables follow each other. */
const OWN_STYLE = `
@media (min-width:761px){#answers ul.reasons li{grid-template-columns:11rem 1fr}}
#levels .scroll,#modes .scroll,#flights .scroll{margin-bottom:18px}
`;

const CAUTIONS = [
  "This page says what these logs show about vibration. It is not a statement of airworthiness.",
  "Change one thing at a time; work on the bench with the propellers off.",
  "No difference shown is not no difference: the intervals say how large one could still be.",
];

const MARK_OF: Readonly<Record<Finding, Call>> = {
  better: "quiet",
  "no difference": "quiet",
  worse: "loud",
  mixed: "marginal",
  changed: "marginal",
  "cannot tell": "undetermined",
};

const LEVEL_OF: Readonly<Record<Call, string>> = {
  quiet: "ok",
  loud: "loud",
  marginal: "marginal",
  undetermined: "unknown",
};

function answersSection({ comparable, refusals, answers }: Comparison): string {
  if (!comparable) {
    return (
      `<section id="answers" class="call call-undetermined" aria-labelledby="answers-title"><h1 id="answers-title">Not comparable</h1>` +
      `${refusals.map((why) => paragraph(`${why}.`)).join("")}</section>`
    );
  }
  return (
    `<section id="answers" class="call" aria-labelledby="answers-title"><h1 id="answers-title">Before and after</h1>` +
    `<ul class="reasons">${answers.map(answerItem).join("")}</ul></section>`
  );
}

function answerItem({ question, finding, sentence }: Answer): string {
  const mark = MARK_OF[finding];
  return (
    `<li><span class="level level-${LEVEL_OF[mark]}">${callMarkSvg(mark)}${finding}</span>` +
    `<span>${shown(sentence, 800)}<span class="value">${shown(question)}</span></span></li>`
  );
}

function chartsSection(charts: readonly Chart[]): string {
  if (charts.length === 0)
    return section("charts", "Charts", "<p>No level could be compared, so nothing is drawn.</p>");
  const of = (start: string): Chart[] => charts.filter((c) => c.name.startsWith(start));
  const group = (title: string, own: readonly Chart[]): string =>
    own.length === 0
      ? ""
      : `<h3>${title}</h3><div class="grid">${own.map((c) => chartFigure(c)).join("")}</div>`;
  return section(
    "charts",
    "Charts",
    [
      group("Both flights overlaid, at equal rotor speed", of("compare-overlay")),
      group("Difference, with 95 % intervals", of("compare-difference")),
      group("Trend", of("compare-trend")),
    ].join(""),
  );
}

function changeCells({ ratioDb, ci95Db, significant }: LevelChange): string[] {
  return [figure(ratioDb, 2), range(ci95Db, "", 2), significant ? "yes" : "no"];
}

const CHANGE_HEAD = ["after over before, dB", "95 % interval, dB", "claimed"];

function linesSection({ axes, orders, motors }: Comparison): string {
  const parts = [
    axes.length === 0
      ? ""
      : table(
          { head: ["axis", ...CHANGE_HEAD], rows: axes.map((a) => [a.axis, ...changeCells(a)]) },
          "All bands of an axis together",
        ),
    orders.length === 0
      ? ""
      : table(
          {
            head: ["order", "axis", ...CHANGE_HEAD],
            rows: orders.map((o) => [String(o.order), o.axis, ...changeCells(o)]),
          },
          "Rotor lines at equal rotor speed, all motors",
        ),
    motors.length === 0
      ? ""
      : table(
          { head: ["motor", ...CHANGE_HEAD], rows: motors.map((m) => [String(m.motor), ...changeCells(m)]) },
          "Once per turn, motor by motor",
        ),
  ].filter((part) => part !== "");
  return section(
    "levels",
    "Levels and rotor lines",
    parts.length === 0 ? "<p>None could be compared.</p>" : parts.join(""),
  );
}

function modesSection({ modes, loneModes }: Comparison): string {
  const rows = modes.map((m) => [
    modeHzWithInterval(m.pair[0]),
    modeHzWithInterval(m.pair[1]),
    `${figure(m.shiftHz, 2)} (${range(m.ci95Hz, "", 2)})`,
    `${figure(m.shiftPercent, 2)} (${range(m.ci95Percent, "", 2)})`,
    `${figure(m.dampingRatio, 2)} (${range(m.dampingCi95, "", 2)})`,
    m.significant ? "yes" : "no",
  ]);
  const lone = loneModes.map((l) => [modeHzWithInterval(l.mode), l.side, l.inOther, l.why]);
  const parts = [
    rows.length === 0
      ? ""
      : table(
          {
            head: ["before", "after", "shift, Hz", "shift, %", "damping after over before", "claimed"],
            rows,
          },
          "Modes that both show",
        ),
    lone.length === 0
      ? ""
      : table({ head: ["mode", "seen", "in the other", "why"], rows: lone }, "Modes that one side shows"),
  ].filter((part) => part !== "");
  return section("modes", "Modes", parts.length === 0 ? "<p>Neither log shows a mode.</p>" : parts.join(""));
}

function flightsSection({ flights, settings }: Comparison): string {
  const rows = flights.map((f, i) => [
    String(i + 1),
    f.file,
    f.side,
    f.call,
    duration(f.airborneS),
    `${figure(f.sampleRateHz, 4)} Hz`,
    f.gyro ?? "none",
    f.sha256.slice(0, 16),
  ]);
  const head = ["flight", "file", "side", "call", "in the air", "rate", "gyro", "SHA-256 begins"];
  const facts = pairs([
    ["matched by", settings.matchedBy ?? "nothing in common"],
    ["shared calm flight", `${figure(settings.sharedS[0])} s before, ${figure(settings.sharedS[1])} s after`],
    ["scatter between flights", `${figure(settings.scatterDb, 2)} dB, ${settings.scatterFrom}`],
    [
      "bound on false claims",
      Object.entries(settings.falseDiscovery)
        .map(([k, v]) => `${k} ${v}`)
        .join(", "),
    ],
  ]);
  return section("flights", "What was compared", table({ head, rows }, "Flights") + facts);
}
