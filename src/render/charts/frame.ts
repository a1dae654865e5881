import type { Axis, GroupMark, Mark, Spec, Scale as VegaScale } from "vega";

type GroupEncodeEntry = NonNullable<NonNullable<GroupMark["encode"]>["enter"]>;

import { C, FONT, SIZE } from "../theme.js";
import type { Panel, PanelAxis } from "./chart.js";
import { type Layer, words } from "./layers.js";
import { linearTicks, logTicks, tickLabel } from "./scale.js";

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
export function frame(drawing: Drawing): Spec {
  const over = drawing.over ?? [];
  return {
    width: drawing.width,
    height: drawing.height,
    padding: 0,
    autosize: "none",
    background: C.paper,
    data: over.map((l) => l.data),
    marks: [...drawing.panels.map(panelGroup), ...over.map((l) => l.mark)],
  };
}

function panelGroup({ panel, inside, over = [], axes = {}, yTicks }: PanelDrawing): Mark {
  const titles = titleLayer(panel, axes.xTitle ?? axes.x !== false);
  const group: GroupMark = {
    type: "group",
    name: `panel-${panel.name}`,
    encode: { enter: box(panel, true) },
    // Axes and grids measure themselves by these names: here they mean the panel, not the drawing.
    signals: [
      { name: "width", value: panel.width },
      { name: "height", value: panel.height },
    ],
    scales: [scaleOf("x", panel.xAxis), ...(panel.yAxis ? [scaleOf("y", panel.yAxis)] : [])],
    axes: [
      ...(axes.x === false ? [gridOnly(panel)] : [axisOf(panel.xAxis, "x")]),
      ...(panel.yAxis && axes.y !== false ? [axisOf(panel.yAxis, "y", yTicks)] : []),
    ],
    data: [...over, titles].map((l) => l.data),
    marks: [
      {
        type: "group",
        name: "plot",
        clip: true,
        encode: { enter: box({ ...panel, x: 0, y: 0 }, false) },
        data: inside.map((l) => l.data),
        marks: inside.map((l) => l.mark),
      },
      ...[...over, titles].map((l) => l.mark),
    ],
  };
  return group;
}

function box(
  { x, y, width, height }: Pick<Panel, "x" | "y" | "width" | "height">,
  filled: boolean,
): GroupEncodeEntry {
  const sides = { x: { value: x }, y: { value: y }, width: { value: width }, height: { value: height } };
  return filled ? { ...sides, fill: { value: C.plot } } : sides;
}

function scaleOf(name: "x" | "y", axis: PanelAxis): VegaScale {
  return {
    name,
    type: axis.type,
    domain: [...axis.domain],
    range: [...axis.range],
    zero: false,
    nice: false,
  } as VegaScale;
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

function axisOf(axis: PanelAxis, along: "x" | "y", ticks: readonly number[] = ticksOf(axis, along)): Axis {
  const labels = Object.fromEntries(ticks.map((t) => [String(t), tickLabel(t)]));
  return {
    scale: along,
    orient: along === "x" ? "bottom" : "left",
    values: [...ticks],
    grid: true,
    gridColor: C.grid,
    domainColor: C.line,
    tickColor: C.line,
    tickSize: 4,
    labelColor: C.soft,
    labelFont: FONT,
    labelFontSize: SIZE.label,
    labelPadding: 3,
    encode: { labels: { update: { text: { signal: `(${JSON.stringify(labels)})[datum.value]` } } } },
    zindex: 0,
  };
}

/** Grid lines of the shared axis above a panel that carries no tick labels. */
function gridOnly(panel: Panel): Axis {
  return { ...axisOf(panel.xAxis, "x"), labels: false, ticks: false };
}

/** Axis titles lie level: the vertical axis' above its plot, the other's below its right end. */
function titleLayer(panel: Panel, xTitle: boolean): Layer {
  const name = (a: PanelAxis): string => (a.unit === "" ? a.title : `${a.title}, ${a.unit}`);
  const values = [
    ...(panel.yAxis && panel.yAxis.title !== ""
      ? [{ x: -40, y: -15, text: name(panel.yAxis), align: "left" }]
      : []),
    ...(xTitle ? [{ x: panel.width, y: panel.height + 32, text: name(panel.xAxis), align: "right" }] : []),
  ];
  const layer = words("axis-title", values, { ink: "soft", size: SIZE.title });
  const enter = layer.mark.encode!["enter"]!;
  return {
    ...layer,
    mark: { ...layer.mark, encode: { enter: { ...enter, align: { field: "align" } } } } as Mark,
  };
}
