import type { Mode } from "../../modes/mode.js";
import type { Call, Reason, ReasonLevel, Result } from "../../result.js";
import { shown } from "../../text/escape.js";
import { callMarkSvg } from "../call-mark.js";
import { certainty, duration, figure, listed, modeHz, percent, quantity, range, trimmed } from "../format.js";
import { reasonText, weightiestFirst } from "../reason-order.js";
import { firstModeLine, rotorLine } from "../summary-lines.js";
import { section } from "./markup.js";

/** The first thing seen: the call as word and trace, and its sentence. */
export function callSection(result: Result): string {
  const { call, sentence } = result.verdict;
  const word = call.charAt(0).toUpperCase() + call.slice(1);
  const { analysed, log } = result;
  const facts = [
    `flight ${analysed.flight}`,
    `${duration(analysed.airborneS)} in the air`,
    `${trimmed(analysed.fromS, 4)} to ${trimmed(analysed.toS, 4)} s of the log`,
    `${trimmed(log.sampleRateHz, 4)} samples a second`,
  ];
  return (
    `<section id="call" class="call call-${call}" aria-labelledby="call-title">${spar(call)}` +
    `<h1 id="call-title">${word}</h1><p>${shown(withoutCall(sentence, call), 600)}</p>` +
    `<p class="facts">${shown(facts.join(" · "))}</p></section>`
  );
}

/** The heading has said the call: a sentence that opens with it goes on from there. */
function withoutCall(sentence: string, call: Call): string {
  const rest = sentence.replace(new RegExp(`^${call}\\s*[:,–—-]\\s*`, "i"), "");
  return rest.charAt(0).toUpperCase() + rest.slice(1);
}

/** A line across the page that ends in the call's trace: flat, rippled, jagged or dotted. */
function spar(call: Call): string {
  const wave: Readonly<Record<Call, string>> = {
    quiet: "M0,17H1200",
    marginal: "M0,17H500q10,-15 20,0t20,0t20,0t20,0t20,0t20,0t20,0t20,0t20,0t20,0H1200",
    loud: "M0,17H494l10,-9l16,21l16,-26l16,27l16,-27l16,26l16,-25l16,27l16,-26l16,25l16,-26l16,23l10,-9H1200",
    undetermined: "M0,17H1200",
  };
  const dots = call === "undetermined" ? ' stroke-dasharray="0.1 12"' : "";
  return (
    `<svg class="spar" viewBox="0 0 1200 34" preserveAspectRatio="xMidYMid slice" aria-hidden="true" focusable="false">` +
    `<path d="${wave[call]}" fill="none" stroke="currentColor" stroke-width="4" stroke-linecap="round" stroke-linejoin="round"${dots}/></svg>`
  );
}

/** The first mode with its interval, and the rotor beside it. */
export function firstModeSection(result: Result): string {
  const first = result.firstMode;
  const number =
    first === null
      ? `<p>${shown(firstModeLine(result), 400)}</p>`
      : `<p class="mode-number">${shown(modeHz(first))} <small>95 % interval ${shown(range(first.ci95Hz, "Hz", 4))}</small></p>` +
        `<p>${shown(modeWords(first))}</p>`;
  return section(
    "first-mode",
    "First structural mode",
    `<div class="two"><div>${number}</div><div><p><b>Rotor:</b> ${shown(rotorLine(result))}.</p></div></div>`,
  );
}

function modeWords(mode: Mode): string {
  const axes = mode.axes.map((a) => `${a.axis} (${figure(a.prominenceDb, 2)} dB above the floor)`);
  const twice = {
    both: "a second method finds it too",
    one: "a second method does not find it",
    untested: "a second method could not run",
  }[mode.agreement];
  return (
    `Damping ${percent(mode.dampingRatio)} (${percent(mode.dampingCi95[0])} to ${percent(mode.dampingCi95[1])}), on ` +
    `${listed(axes)}; confidence ${certainty(mode.confidence)}, ${twice}.`
  );
}

const TRACE_OF: Readonly<Record<ReasonLevel, Call>> = {
  ok: "quiet",
  marginal: "marginal",
  loud: "loud",
  unknown: "undetermined",
};

/** Reasons that weigh first, beside them what to try next; below, small, what is in order. */
export function reasonsSection(result: Result): string {
  const { reasons, next } = result.verdict;
  const sorted = weightiestFirst(reasons);
  const weigh = sorted.filter((r) => r.level !== "ok");
  const fine = sorted.filter((r) => r.level === "ok");
  const list = (items: readonly Reason[], kind: string): string =>
    items.length === 0 ? "" : `<ul class="reasons ${kind}">${items.map(reasonItem).join("")}</ul>`;
  const steps =
    next.length === 0
      ? "<p>Nothing to do.</p>"
      : `<ol class="next">${next.map((n) => `<li>${shown(n)}</li>`).join("")}</ol>`;
  const nothing = reasons.length === 0 ? "<p>No reason could be given from this log.</p>" : "";
  const clean =
    weigh.length === 0 && fine.length > 0 ? "<p>Nothing weighs against this build in this log.</p>" : "";
  return section(
    "reasons",
    "Why, and what to do",
    `<div class="two"><div>${nothing}${clean}${list(weigh, "weigh")}</div>` +
      `<div><h3>Next, the cheapest first</h3>${steps}${missing(result)}</div></div>` +
      (fine.length === 0 ? "" : `<h3>In order</h3>${list(fine, "fine")}`),
  );
}

function reasonItem(reason: Reason): string {
  const mark = callMarkSvg(TRACE_OF[reason.level]);
  const numbers = [
    reason.value === null ? null : `value ${quantity(reason.value, reason.unit)}`,
    reason.ci95 === null ? null : `95 % interval ${range(reason.ci95, reason.unit)}`,
    reason.limit === null ? null : `limit ${trimmed(reason.limit)} ${reason.unit}`,
    reason.required ? "the call needs it" : null,
  ].filter((n) => n !== null);
  return (
    `<li><span class="level level-${reason.level}">${mark}${reason.level}</span>` +
    `<span>${shown(reasonText(reason), 400)}<span class="value">${shown([reason.id, numbers.join(", ")].filter((t) => t !== "").join(": "), 240)}</span></span></li>`
  );
}

function missing(result: Result): string {
  if (result.missing.length === 0) return "";
  const items = result.missing
    .map((m) => `<dt>${shown(m.what, 80)}</dt><dd>${shown(m.cost, 300)}</dd>`)
    .join("");
  return `<h3>Missing from the log, and what it cost</h3><dl>${items}</dl>`;
}
