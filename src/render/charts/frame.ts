import { C, SIZE } from "../theme.js";
import type { Panel, PanelAxis } from "./chart.js";
import { type Layer, pieces, type Scales, words } from "./layers.js";
import { linearTicks, logTicks, position, tickLabel } from "./scale.js";
import { group, type Scene, type SceneMark } from "./scene.js";

export interface PanelDrawing {
  readonly panel: Panel;
  /** Drawn in the plot and cut at its edges. */
  readonly inside: readonly Layer[];
  /** Drawn over the plot, in the panel's own coordinates, not cut. */
  readonly over?: readonly Layer[];
  /** Default: both axes with ticks. */
  readonly axes?: { readonly x?: boolean; readonly y?: boolean; readonly xTitle?: boolean };
  readonly yTicks?: readonly number[];
}

export interface Drawing {
  readonly width: number;
  readonly height: number;
  readonly panels: readonly PanelDrawing[];
  /** In the drawing's coordinates. */
  readonly over?: readonly Layer[];
}

/** A drawing of one or more panels of fixed size. */
export function frame({ width, height, panels, over = [] }: Drawing): Scene {
  const whole: Scales = {
    x: { type: "linear", domain: [0, width], range: [0, width] },
    y: { type: "linear", domain: [0, height], range: [0, height] },
  };
  return {
    width,
    height,
    background: C.paper,
    marks: [...panels.map(panelGroup), ...over.map((layer) => layer(whole))],
  };
}

function panelGroup({ panel, inside, over = [], axes = {}, yTicks }: PanelDrawing): SceneMark {
  const { x, y, width, height, xAxis, yAxis } = panel;
  const scales: Scales = { x: xAxis, y: yAxis };
  const drawn = (layers: readonly Layer[]): SceneMark[] => layers.map((layer) => layer(scales));
  const marks = [
    axisGroup(panel, "x", { labels: axes.x !== false, ticks: ticksOf(xAxis, "x") }),
    ...(yAxis !== null && axes.y !== false
      ? [axisGroup(panel, "y", { labels: true, ticks: yTicks ?? ticksOf(yAxis, "y") })]
      : []),
    { ...group("plot", { x: 0, y: 0, width, height, items: drawn(inside) }), clip: true },
    ...drawn([...over, titleLayer(panel, axes.xTitle ?? axes.x !== false)]),
  ];
  return group(`panel-${panel.name}`, { x, y, width, height, fill: C.plot, items: marks });
}

function ticksOf(axis: PanelAxis, along: "x" | "y"): number[] {
  const length = Math.abs(axis.range[1] - axis.range[0]);
  const all =
    axis.type === "log"
      ? logTicks(axis.domain)
      : linearTicks(axis.domain, Math.max(2, length / (along === "x" ? 70 : 36)));
  const most = length / (along === "x" ? 34 : 18);
  if (axis.type === "linear" || all.length <= most) return all;
  const powers = all.filter((t) => Math.abs(Math.log10(t) - Math.round(Math.log10(t))) < 1e-9);
  const skip = Math.ceil(powers.length / most);
  return powers.filter((_, i) => i % skip === 0);
}

interface AxisOptions {
  /** false: grid lines only, above a panel that carries the labels for both. */
  readonly labels: boolean;
  readonly ticks: readonly number[];
}

const TICK = 4;

/** Grid, edge, ticks and labels of one axis. The page's script hides it by its role when it draws its own. */
function axisGroup(
  { xAxis, yAxis, width, height }: Panel,
  along: "x" | "y",
  { labels, ticks }: AxisOptions,
): SceneMark {
  const upright = along === "x";
  const at = ticks.map((t) => position(upright ? xAxis : yAxis!, t));
  const across = (from: number, to: number) => (v: number) =>
    upright ? { x: v, x2: v, y: from, y2: to } : { x: from, x2: to, y: v, y2: v };
  const edge = upright ? { x: 0, x2: width, y: height, y2: height } : { x: 0, x2: 0, y: 0, y2: height };
  const out = upright ? across(height, height + TICK) : across(-TICK, 0);
  const names = at.map((v, i) => {
    const text = tickLabel(ticks[i]!);
    return upright ? { x: v, y: height + 14, text } : { x: -TICK - 3, y: v, text };
  });
  const layers: Layer[] = [
    pieces("grid", at.map(across(0, upright ? height : width)), { ink: "grid", width: 1 }),
    pieces("edge", [edge, ...(labels ? at.map(out) : [])], { ink: "line", width: 1 }),
    ...(labels ? [words("axis-label", names, { ink: "soft", align: upright ? "center" : "right" })] : []),
  ];
  const scales: Scales = { x: xAxis, y: yAxis };
  return group(`axis-${along}`, { x: 0, y: 0, items: layers.map((layer) => layer(scales)) }, "axis");
}

/** Axis titles lie level: the vertical axis' above its plot, the other's below its right end. */
function titleLayer({ xAxis, yAxis, width, height }: Panel, xTitle: boolean): Layer {
  const name = (a: PanelAxis): string => (a.unit === "" ? a.title : `${a.title}, ${a.unit}`);
  const values = [
    ...(yAxis && yAxis.title !== "" ? [{ x: -40, y: -15, text: name(yAxis), align: "left" as const }] : []),
    ...(xTitle ? [{ x: width, y: height + 32, text: name(xAxis), align: "right" as const }] : []),
  ];
  return words("axis-title", values, { ink: "soft", size: SIZE.title });
}
