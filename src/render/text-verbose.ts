import type { Result } from "../result.js";
import { cell, wrapColumns } from "../text/columns.js";
import { certainty, figure, quantity, range, trimmed } from "./format.js";
import { modeLine } from "./summary-lines.js";

const INDENT = 12;

/** What the long form adds to the short one, apart from the spectra. */
export function verboseLines(result: Result, width: number, plain: (text: string) => string): string[] {
  const block = (title: string, items: readonly string[]): string[] => {
    if (items.length === 0) return [];
    const lines = items.flatMap((item) =>
      wrapColumns(plain(item), width - INDENT).map(
        (line, i) => " ".repeat(i === 0 ? INDENT : INDENT + 2) + line,
      ),
    );
    return ["", cell(title, INDENT) + lines[0]!.trimStart(), ...lines.slice(1)];
  };
  return [
    ...block(
      "Modes",
      result.modes.map((m) => `${m.kind}: ${modeLine(m)}, confidence ${certainty(m.confidence)}`),
    ),
    ...block(
      "Tones",
      result.tones.map((t) => `${figure(t.frequencyHz, 4)} Hz on ${t.axes.join(", ")}`),
    ),
    ...block(
      "Unseen",
      result.modesUnobservable.map((u) => `${range([u.fromHz, u.toHz], "Hz")}: ${u.why}`),
    ),
    ...block(
      "Orders",
      result.rotor.orders.map(
        (o) =>
          `${trimmed(o.order)} × turn at ${quantity(o.medianHz, "Hz")}, ${figure(o.levelDb, 2)} dB above the floor`,
      ),
    ),
    ...block(
      "Missing",
      result.missing.map((m) => `${m.what}: ${m.cost}`),
    ),
    ...block(
      "Quality",
      result.quality.map((q) => `${q.level} ${q.id}: ${q.message}`),
    ),
    ...block("Next", result.verdict.next),
    ...block("Cautions", result.verdict.cautions),
  ];
}
