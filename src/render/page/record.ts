import type { QualityCheck, Result } from "../../result.js";
import { shown } from "../../text/escape.js";
import { callMarkSvg } from "../call-mark.js";
import { duration, figure, trimmed } from "../format.js";
import { anything, pairs, section, table } from "./markup.js";

const TRACE_OF = { ok: "quiet", warn: "marginal", fail: "loud" } as const;

/** How good the log is. */
export function qualitySection(result: Result): string {
  const item = (q: QualityCheck): string => {
    const limit = q.limit === null ? "" : `, limit ${trimmed(q.limit)} ${q.unit}`;
    const value = q.value === null ? q.id : `${q.id}: ${trimmed(q.value)} ${q.unit}${limit}`;
    return (
      `<li><span class="level level-${q.level}">${callMarkSvg(TRACE_OF[q.level])}${q.level}</span>` +
      `<span>${shown(q.message)}<span class="value">${shown(value, 200)}</span></span></li>`
    );
  };
  const list = (kind: string, checks: readonly QualityCheck[]): string =>
    checks.length === 0 ? "" : `<ul class="reasons ${kind}">${checks.map(item).join("")}</ul>`;
  const { quality } = result;
  const body =
    list("weigh", [
      ...quality.filter((q) => q.level === "fail"),
      ...quality.filter((q) => q.level === "warn"),
    ]) +
    list(
      "fine",
      quality.filter((q) => q.level === "ok"),
    );
  return section("quality", "Quality of the log", body === "" ? "<p>No check was made.</p>" : body);
}

/** What was read: columns, gaps, notes and warnings. */
export function logSection(result: Result): string {
  const { log } = result;
  const facts = pairs([
    ["file", log.file],
    ["SHA-256", log.sha256],
    ["length", `${duration(log.durationS)}, ${log.rows} rows`],
    [
      "sampling rate",
      `${trimmed(log.sampleRateHz, 5)} Hz, Nyquist frequency ${trimmed(log.nyquistHz, 5)} Hz`,
    ],
    ["gaps", log.gaps.length === 0 ? "none" : `${log.gaps.length}, no transform spans one`],
  ]);
  const columns = Object.entries(log.columns).map(([role, c]) => {
    return [role, c.headers.slice(0, 24).join(", "), c.unit, trimmed(c.scale, 6), c.how];
  });
  const parts = [
    facts,
    table({ head: ["taken for", "headers", "unit", "factor", "known from"], rows: columns }, "Columns"),
  ];
  if (log.gaps.length > 0) {
    const rows = log.gaps.slice(0, 50).map((g) => [figure(g.fromS, 5), figure(g.toS, 5), String(g.samples)]);
    parts.push(table({ head: ["from, s", "to, s", "samples missing"], rows }, "Gaps"));
  }
  if (log.notes.length > 0) {
    const rows = log.notes.slice(0, 60).map((n) => [n.key, n.value]);
    parts.push(table({ head: ["note", "value"], rows }, "Notes that the log carries"));
  }
  if (log.warnings.length > 0) {
    const rows = log.warnings
      .slice(0, 60)
      .map((w) => [w.id, w.message, String(w.count), w.row === null ? "" : String(w.row)]);
    parts.push(table({ head: ["warning", "what", "times", "first row"], rows }, "Warnings while reading"));
  }
  return section("log", "What was read from the log", parts.join("\n"));
}

/** Version, options, limits and craft, so that the result can be made again. */
export function settingsSection(result: Result): string {
  const { options, limits, craft } = result.settings;
  const rows = Object.entries(limits).map(([name, l]) => [name, `${trimmed(l.value, 4)} ${l.unit}`, l.from]);
  const set = Object.entries(options).map(([k, v]) => [k, v === null ? "not set" : String(v)] as const);
  return section(
    "settings",
    "Settings, version and limits",
    [
      pairs([
        ["program", `${result.tool.name} ${result.tool.version}`],
        ["shape of the result", result.schemaVersion],
        ...set,
      ]),
      rows.length === 0
        ? ""
        : `<div class="newspaper">${table({ head: ["limit", "value", "from"], rows }, "Limits in force")}</div>`,
      isEmpty(craft) ? "" : `<h3>Craft as told</h3>${anything(craft)}`,
    ].join("\n"),
  );
}

const isEmpty = (value: unknown): boolean =>
  value === null || value === undefined || (typeof value === "object" && Object.keys(value).length === 0);

/** What every page says, unless the verdict has said it in its own words. */
const ALWAYS: readonly { readonly about: RegExp; readonly text: string }[] = [
  {
    about: /airworth/i,
    text: "This page says what one log shows about vibration. It is not a statement of airworthiness.",
  },
  { about: /propellers? off/i, text: "Work on the bench with the propellers off." },
  { about: /one thing at a time/i, text: "Change one thing at a time, and fly the same flight again." },
  {
    about: /(hot motors|motors? .*temperature|feel .*motors?)/i,
    text: "After a filter change, hover briefly, land, and feel the motors' temperature before flying on.",
  },
  {
    about: /people/i,
    text: "Keep people clear of the craft. Local rules and licensed practice decide what may fly where.",
  },
];

export function cautionsSection(result: Result): string {
  const said = result.verdict.cautions;
  const missing = ALWAYS.filter(({ about }) => !said.some((c) => about.test(c))).map(({ text }) => text);
  const items = [...said, ...missing].map((c) => `<li>${shown(c)}</li>`);
  return section("cautions", "Cautions", `<ul>${items.join("")}</ul>`);
}
