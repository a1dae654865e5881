import type { Result } from "../../result.js";
import { filterStudyOf, type ShownCandidate } from "../filter-study.js";
import { figure } from "../format.js";
import { SMALL_WIDTH, WIDE_WIDTH } from "../theme.js";
import type { Panel, PanelAxis, Sketch } from "./chart.js";
import { frame } from "./frame.js";
import { crossLines, signs, words } from "./layers.js";
import { nameBeside } from "./point-labels.js";
import { place } from "./scale.js";

const LEFT = 60;
const TOP = 34;
const HEIGHT = 260;

/** Delay against what is left of the D-term: one mark per filter chain, the least delay to the left. */
export function filterTradeOff(result: Result): Sketch | null {
  const study = filterStudyOf(result.filters);
  const known = (study?.candidates ?? []).filter(
    (c) => c.delayMs !== null && (c.dtermRms ?? c.gyroRms) !== null,
  );
  if (known.length < 2) return null;
  const limit = study?.limit ?? null;
  const draw = (width: number): Pick<Sketch, "spec" | "panels"> => drawing(known, limit, width);
  return {
    name: "filter-trade-off",
    title: "Delay against vibration that is left",
    group: "filters",
    alt: `${known.length} filter chains: delay from ${figure(least(known, (c) => c.delayMs!))} to ${figure(most(known, (c) => c.delayMs!))} ms, vibration left from ${figure(least(known, left))} to ${figure(most(known, left))}.${limit === null ? "" : ` Dashed line: D-term limit ${figure(limit)}.`}`,
    table: {
      head: ["number", "filters", "delay", "D-term left, RMS"],
      rows: known.map((c, i) => [String(i + 1), c.chain, c.delay, c.dterm]),
    },
    ...draw(WIDE_WIDTH),
    narrow: draw(SMALL_WIDTH),
  };
}

const left = (c: ShownCandidate): number => (c.dtermRms ?? c.gyroRms)!;
const least = (list: readonly ShownCandidate[], of: (c: ShownCandidate) => number): number =>
  Math.min(...list.map(of));
const most = (list: readonly ShownCandidate[], of: (c: ShownCandidate) => number): number =>
  Math.max(...list.map(of));

function drawing(
  known: readonly ShownCandidate[],
  limit: number | null,
  width: number,
): Pick<Sketch, "spec" | "panels"> {
  const inner = width - LEFT - 24;
  const isDterm = known.every((c) => c.dtermRms !== null);
  const bound = isDterm && limit !== null && limit > 0 ? [limit] : [];
  const positive = [...known.map(left).filter((v) => v > 0), ...bound];
  const xAxis: PanelAxis = {
    type: "linear",
    domain: [0, most(known, (c) => c.delayMs!) * 1.08 + 0.1],
    range: [0, inner],
    title: "delay at low frequency",
    unit: "ms",
    link: null,
  };
  const yAxis: PanelAxis = {
    type: "log",
    domain: [Math.min(...positive) * 0.7, Math.max(...positive) * 1.4],
    range: [HEIGHT, 0],
    title: isDterm ? "D-term left, RMS" : "gyro left, RMS",
    unit: isDterm ? "" : "deg/s",
    link: null,
  };
  const panel: Panel = {
    name: "filter-trade-off",
    x: LEFT,
    y: TOP,
    width: inner,
    height: HEIGHT,
    xAxis,
    yAxis,
  };
  const marks = known.map((c) => ({ x: c.delayMs!, y: left(c) }));
  const names = nameBeside(
    known.map((c, i) => ({ x: place(xAxis, c.delayMs!), y: place(yAxis, left(c)), ...nameOf(c, i + 1) })),
    { width: inner, height: HEIGHT },
  );
  const spec = frame({
    width,
    height: TOP + HEIGHT + 50,
    panels: [
      {
        panel,
        inside: [
          crossLines(
            "chain-limit",
            bound.map((y) => ({ y })),
            { ink: "loud", along: "y", length: inner, dash: [4, 3] },
          ),
          signs("chain", marks, { ink: "dterm", shape: "circle", size: 60, outline: "plot" }),
          signs(
            "chain-flown",
            known.filter((c) => FIRST.has(c.role)).map((c) => ({ x: c.delayMs!, y: left(c) })),
            { ink: "dterm", shape: "diamond", size: 150, outline: "plot" },
          ),
          words(
            "chain-name",
            names.map((n) => ({ x: n.left, y: n.middle, text: n.text })),
            { ink: "dterm" },
          ),
        ],
      },
    ],
  });
  return { spec, panels: [panel] };
}

/** Roles that a reader looks for first: written out beside their marks. */
const FIRST = new Set(["this flight", "least delay"]);

function nameOf(c: ShownCandidate, number: number): { text: string; weight: number } {
  return FIRST.has(c.role)
    ? { text: `${number}: ${c.role}`, weight: 1 }
    : { text: String(number), weight: 0 };
}
