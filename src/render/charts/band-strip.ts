import type { Result } from "../../result.js";
import { AXES, type Axis } from "../../units.js";
import { figure, listed, modeHz, modeHzWithInterval, range } from "../format.js";
import { SIZE, SMALL_WIDTH, WIDE_WIDTH } from "../theme.js";
import type { ChartTable, Panel, Sketch } from "./chart.js";
import { features, modesOn, rotorBands } from "./features.js";
import { type Drawing, frame, type PanelDrawing } from "./frame.js";
import { frequencyAxis } from "./frequency-axis.js";
import { type LabelAt, type PlacedLabel, placeInRows } from "./labels.js";
import { boxes, crossLines, type Layer, pieces, signs, words } from "./layers.js";
import { rotorLayers } from "./rotor-layers.js";
import { place } from "./scale.js";

/**
 * The band strip: three lanes, one per axis, on one frequency axis. Each lane holds its quiet band (filled bar with
 * its level), its modes (lozenges with intervals) and tones (dashes); behind all lanes stand the bands in which the
 * rotors' lines moved, and the bands that this log could not show.
 */
export function bandStrip(result: Result): Sketch {
  const wide = draw(result, { width: WIDE_WIDTH, rows: 2 });
  const narrow = draw(result, { width: SMALL_WIDTH, rows: 4 });
  return {
    name: "band-strip",
    title: "Band strip: what is quiet, what turns, what stays put",
    group: "strip",
    alt: stripAlt(result),
    table: stripTable(result),
    ...wide,
    narrow,
  };
}

const LANE = 46;
const LEFT = 52;
const RIGHT = 18;
const ROW = 17;

function draw(
  result: Result,
  { width, rows }: { width: number; rows: number },
): Pick<Sketch, "spec" | "panels"> {
  const inner = width - LEFT - RIGHT;
  const xAxis = frequencyAxis(result, inner);
  const ink = labelRows(result, { xAxis, inner, rows });
  const top = 14 + ink.topRows * ROW;
  const panels = AXES.map((axis, i): Panel => {
    return { name: axis, x: LEFT, y: top + i * (LANE + 4), width: inner, height: LANE, xAxis, yAxis: null };
  });
  const bottom = top + 3 * (LANE + 4) - 4;
  const height = bottom + 40 + (ink.bottomRows + 1) * ROW;
  const lanes = panels.map((panel, i) => lane(result, AXES[i]!, { panel, last: i === 2 }));
  // Below the names, which need the room right under the axis.
  const title = { x: width - RIGHT, y: height - ROW / 2 - 2, text: `${xAxis.title}, ${xAxis.unit}` };
  const named = words("axis-title", [title], { ink: "soft", size: SIZE.title, align: "right" });
  const drawing: Drawing = { width, height, panels: lanes, over: [...strip(ink, { top, bottom }), named] };
  return { spec: frame(drawing), panels };
}

/** Where the words go: names of rotor bands above the lanes, modes and tones below them. */
interface LabelRows {
  readonly above: readonly PlacedLabel[];
  readonly below: readonly PlacedLabel[];
  readonly more: number;
  readonly topRows: number;
  readonly bottomRows: number;
}

function labelRows(
  result: Result,
  { xAxis, inner, rows }: { xAxis: Panel["xAxis"]; inner: number; rows: number },
): LabelRows {
  const room = { from: 0, to: inner, rows, size: SIZE.label };
  const middle = (hz: readonly [number, number]): number => (place(xAxis, hz[0]) + place(xAxis, hz[1])) / 2;
  const wide = inner > 600;
  const above = rotorBands(result).map((b): LabelAt => {
    const name = wide || b.order === 1 ? b.name : b.name.replace("once per turn", "1 × turn");
    return { at: middle(b.hz), text: b.folded ? `${name}, folded` : name };
  });
  const below = [
    ...result.modes.map(
      (m): LabelAt => ({
        at: place(xAxis, m.frequencyHz),
        text: wide ? `${modeHz(m)} ${m.kind}` : modeHz(m),
      }),
    ),
    ...result.tones.map(
      (t): LabelAt => ({ at: place(xAxis, t.frequencyHz), text: `${figure(t.frequencyHz)} Hz tone` }),
    ),
  ];
  const up = placeInRows(above, room);
  const down = placeInRows(below, room);
  const used = (labels: readonly PlacedLabel[]): number => labels.reduce((n, l) => Math.max(n, l.row + 1), 0);
  return {
    above: up.placed,
    below: down.placed,
    more: down.leftOut.length,
    topRows: used(up.placed),
    bottomRows: used(down.placed) + (down.leftOut.length > 0 ? 1 : 0),
  };
}

function lane(result: Result, axis: Axis, { panel, last }: { panel: Panel; last: boolean }): PanelDrawing {
  const { quietBand } = result.axes[axis];
  const { fromHz, toHz } = quietBand;
  const hasQuiet = fromHz !== null && toHz !== null && toHz > fromHz;
  const x = panel.xAxis;
  const quiet = hasQuiet ? [{ x: Math.max(fromHz, x.domain[0]), x2: Math.min(toHz, x.domain[1]) }] : [];
  const level = hasQuiet ? `${figure(quietBand.rmsDps, 2)} deg/s` : "no quiet band";
  const at = hasQuiet ? place(x, quiet[0]!.x) + 8 : 8;
  const modes = modesOn(result, axis);
  const middle = LANE / 2;
  return {
    panel,
    axes: { x: last, xTitle: false },
    inside: [
      boxes("hidden-band", hiddenBands(result, panel), { ink: "line", height: LANE, opacity: 0.8 }),
      ...rotorLayers(result, LANE, 0.75),
      quietBar(quiet, panel),
      crossLines("tone", tonesOn(result, axis), {
        ink: "tone",
        width: 2,
        dash: [3, 3],
        along: "x",
        length: LANE,
      }),
      pieces(
        "mode-interval",
        modes.map((m) => ({ x: place(x, m.ci95Hz[0]), x2: place(x, m.ci95Hz[1]), y: middle, y2: middle })),
        { ink: "mode", width: 5 },
      ),
      signs(
        "mode",
        modes.map((m) => ({ x: place(x, m.frequencyHz), y: middle })),
        { ink: "mode", shape: "diamond", size: 110, pixels: true, outline: "plot" },
      ),
    ],
    over: [
      words("lane-name", [{ x: -10, y: middle, text: axis }], { ink: "text", align: "right", bold: true }),
      words("quiet-level", [{ x: at, y: LANE - 11, text: level }], { ink: hasQuiet ? "quietText" : "soft" }),
    ],
  };
}

/** The quiet band fills the lower half of its lane. */
function quietBar(values: readonly { x: number; x2: number }[], panel: Panel): Layer {
  const boxed = values.map((v) => ({ x: place(panel.xAxis, v.x), x2: place(panel.xAxis, v.x2) }));
  return pieces(
    "quiet-band",
    boxed.map((b) => ({ ...b, y: LANE - 11, y2: LANE - 11 })),
    { ink: "quiet", width: 18 },
  );
}

function hiddenBands(result: Result, panel: Panel): { x: number; x2: number }[] {
  const [lo, hi] = panel.xAxis.domain;
  return result.modesUnobservable
    .map((u) => ({ x: Math.max(lo, u.fromHz), x2: Math.min(hi, u.toHz) }))
    .filter((b) => b.x2 > b.x);
}

function tonesOn(result: Result, axis: Axis): { x: number }[] {
  return result.tones.filter((t) => t.axes.includes(axis)).map((t) => ({ x: t.frequencyHz }));
}

/** Names around the lanes, each led to its place by a thin line. */
function strip(rows: LabelRows, { top, bottom }: { top: number; bottom: number }): Layer[] {
  const aboveY = (row: number): number => top - 12 - (rows.topRows - 1 - row) * ROW;
  const belowY = (row: number): number => bottom + 48 + row * ROW;
  const leadUp = rows.above.map((l) => ({ x: LEFT + l.at, y: top, x2: LEFT + l.x, y2: aboveY(l.row) + 6 }));
  const leadDown = rows.below.map((l) => ({
    x: LEFT + l.at,
    y: bottom + 22,
    x2: LEFT + l.x,
    y2: belowY(l.row) - 7,
  }));
  const more =
    rows.more > 0
      ? [{ x: LEFT, y: belowY(rows.bottomRows - 1), text: `and ${rows.more} more, see the table` }]
      : [];
  return [
    pieces("leader", [...leadUp], { ink: "rotorLine", width: 1 }),
    pieces("leader-mode", [...leadDown], { ink: "mode", width: 1 }),
    words(
      "rotor-name",
      rows.above.map((l) => ({ x: LEFT + l.x, y: aboveY(l.row), text: l.text })),
      { ink: "rotorText", align: "center" },
    ),
    words(
      "mode-name",
      rows.below.map((l) => ({ x: LEFT + l.x, y: belowY(l.row), text: l.text })),
      { ink: "mode", align: "center" },
    ),
    words("more", more, { ink: "soft" }),
  ];
}

function stripAlt(result: Result): string {
  const quiet = AXES.map((axis) => {
    const { fromHz, toHz, rmsDps } = result.axes[axis].quietBand;
    if (fromHz === null || toHz === null || toHz <= fromHz) return `${axis} has no known quiet band`;
    return `${axis} is quiet from ${range([fromHz, toHz], "Hz")} with ${figure(rmsDps)} deg/s`;
  });
  const modes = result.modes.map((m) => `${modeHzWithInterval(m)} on ${listed(m.axes.map((a) => a.axis))}`);
  const rotor = rotorBands(result).map((b) => `${b.name} ${range(b.hz, "Hz")}${b.folded ? " folded" : ""}`);
  return [
    `${listed(quiet)}.`,
    rotor.length > 0 ? `Rotor bands: ${rotor.join("; ")}.` : "Rotor bands are not known.",
    modes.length > 0 ? `Modes: ${modes.slice(0, 8).join("; ")}.` : "No modes were found.",
  ].join(" ");
}

function stripTable(result: Result): ChartTable {
  const rows = features(result).map((f) => [
    f.label,
    f.axes.length === 0 ? "all" : listed(f.axes),
    figure(f.fromHz, 4),
    figure(f.toHz, 4),
  ]);
  return { head: ["what", "axes", "from, Hz", "to, Hz"], rows };
}
