import type { DrawnSeries, Evidence } from "../../evidence.js";
import type { Result } from "../../result.js";
import type { HeatMap } from "../../spectra/spectrum.js";
import { AXES, type Axis } from "../../units.js";
import { figure, modeHz, range } from "../format.js";
import { SMALL_WIDTH } from "../theme.js";
import type { ChartTable, Panel, PanelAxis, Sketch } from "./chart.js";
import { frequencyDomain, modesOn } from "./features.js";
import { frame, type PanelDrawing } from "./frame.js";
import { type HeatPicture, heatLayer, heatPicture, levelDomain, scaleBar } from "./heat-picture.js";
import { crossLines, type Layer, line } from "./layers.js";
import { briefName, type OrderCurve, orderCurves, orderLayers, type SpeedPoint } from "./order-curves.js";
import { place, inside as within } from "./scale.js";
import { type SideLabel, sideLabels } from "./side-labels.js";
import { thinSeries } from "./thin-series.js";

const LEFT = 56;
const RIGHT = 112;
const TOP = 44;
const HEIGHT = 230;
const THROTTLE_HEIGHT = 54;
/** Between a map and the throttle below it: room for the lower axis' title. */
const BETWEEN = 30;
/** Points of a drawn line: more than a small drawing can show. */
const POINTS = 260;

/** Frequency against throttle per axis, with order lines and modes. */
export function throttleCharts(result: Result, evidence: Evidence): Sketch[] {
  const domain = levelDomain(AXES.map((axis) => evidence.throttleMap[axis]));
  const speeds = result.rotor.curve.map(({ throttle, hz }) => ({ x: throttle * 100, hz }));
  return AXES.flatMap((axis) => {
    const map = evidence.throttleMap[axis];
    if (map === null || map.x.length < 2) return [];
    const percent = { ...map, x: map.x.map((t) => t * 100) };
    const chart = mapPanel(result, axis, {
      map: percent,
      domain,
      speeds,
      title: "throttle",
      unit: "%",
      link: "throttle",
      name: "throttle",
    });
    return [
      {
        name: `throttle-map-${axis}`,
        title: `${axis} against throttle`,
        group: "throttle" as const,
        alt: mapAlt(result, axis, percent, "throttle", "%"),
        table: mapTable(result, percent, "throttle, %"),
        spec: frame({ width: SMALL_WIDTH, height: TOP + HEIGHT + 50, panels: [chart] }),
        panels: [chart.panel],
      },
    ];
  });
}

/** Spectrum over time per axis, with the throttle below on the same clock. */
export function timeCharts(result: Result, evidence: Evidence): Sketch[] {
  const domain = levelDomain(AXES.map((axis) => evidence.timeMap[axis]));
  const speeds = (evidence.rotorHz === null ? [] : thinSeries(evidence.rotorHz, POINTS)).map(({ x, y }) => ({
    x,
    hz: y,
  }));
  return AXES.flatMap((axis) => {
    const map = evidence.timeMap[axis];
    if (map === null || map.x.length < 2) return [];
    const top = mapPanel(result, axis, {
      map,
      domain,
      speeds,
      title: "time",
      unit: "s",
      link: "time",
      name: "time",
    });
    const below = evidence.throttle === null ? null : throttlePanel(evidence.throttle, top.panel);
    const panels: PanelDrawing[] = below === null ? [top] : [{ ...top, axes: { x: false } }, below];
    const height = TOP + HEIGHT + (below === null ? 50 : BETWEEN + THROTTLE_HEIGHT + 50);
    return [
      {
        name: `time-map-${axis}`,
        title: `${axis} over time`,
        group: "time" as const,
        alt: mapAlt(result, axis, map, "time", "s"),
        table: mapTable(result, map, "time, s"),
        spec: frame({ width: SMALL_WIDTH, height, panels }),
        panels: panels.map((p) => p.panel),
      },
    ];
  });
}

interface MapInput {
  readonly map: HeatMap;
  readonly domain: readonly [number, number];
  readonly speeds: readonly SpeedPoint[];
  readonly title: string;
  readonly unit: string;
  readonly link: "throttle" | "time";
  readonly name: string;
}

function mapPanel(result: Result, axis: Axis, input: MapInput): PanelDrawing {
  const panel = panelOf(result, axis, input);
  const heat = heatPicture(input.map, panel, input.domain);
  // Speeds beyond the map, as in a landing, would put a line's name where no line ends.
  const curves = orderCurves(
    result,
    input.speeds.filter((s) => within(panel.xAxis, s.x)),
  );
  const modes = modesOn(result, axis).filter((m) => within(panel.yAxis!, m.frequencyHz));
  const inside: Layer[] = [
    heatLayer(heat, panel),
    ...orderLayers(input.link === "time" ? curves.slice(0, 3) : curves, "heat"),
    crossLines(
      "mode-edge",
      modes.map((m) => ({ y: m.frequencyHz })),
      { ink: "deep", width: 2.6, opacity: 0.5, along: "y", length: panel.width },
    ),
    crossLines(
      "mode-line",
      modes.map((m) => ({ y: m.frequencyHz })),
      { ink: "halo", width: 1.2, dash: [1, 3], along: "y", length: panel.width },
    ),
  ];
  const labels = [
    ...modes.map((m): SideLabel => ({ y: place(panel.yAxis!, m.frequencyHz), text: modeHz(m), ink: "mode" })),
    ...orderLabels(curves, panel),
  ];
  return {
    panel: withColours(panel, heat),
    inside,
    over: [...sideLabels(labels.slice(0, 9), panel), ...scaleBar(heat, panel)],
  };
}

function orderLabels(curves: readonly OrderCurve[], panel: Panel): SideLabel[] {
  return curves
    .filter((c) => within(panel.yAxis!, c.end))
    .slice(0, 5)
    .map((c) => ({
      y: place(panel.yAxis!, c.end),
      text: briefName(c),
      ink: "rotorText" as const,
    }));
}

const withColours = (panel: Panel, heat: HeatPicture): Panel => ({
  ...panel,
  colours: { domain: heat.domain, reference: heat.reference },
});

function panelOf(result: Result, axis: Axis, { map, title, unit, link, name }: MapInput): Panel {
  const width = SMALL_WIDTH - LEFT - RIGHT;
  const half = (map.x[1]! - map.x[0]!) / 2;
  const xAxis: PanelAxis = {
    type: "linear",
    domain: [map.x[0]! - half, map.x.at(-1)! + half],
    range: [0, width],
    title,
    unit,
    link,
  };
  const yAxis: PanelAxis = {
    type: "log",
    domain: frequencyDomain(result),
    range: [HEIGHT, 0],
    title: "frequency",
    unit: "Hz",
    link: "frequency",
  };
  return { name: `${name}-${axis}`, x: LEFT, y: TOP, width, height: HEIGHT, xAxis, yAxis };
}

function throttlePanel(series: DrawnSeries, above: Panel): PanelDrawing {
  const yAxis: PanelAxis = {
    type: "linear",
    domain: [0, 100],
    range: [THROTTLE_HEIGHT, 0],
    title: "throttle",
    unit: "%",
    link: null,
  };
  const panel: Panel = {
    ...above,
    name: `${above.name}-throttle`,
    y: TOP + HEIGHT + BETWEEN,
    height: THROTTLE_HEIGHT,
    yAxis,
  };
  const points = thinSeries(series, POINTS).map(({ x, y }) => ({ x, y: y * 100 }));
  const { colours: _none, ...plain } = panel;
  return {
    panel: plain,
    inside: [line("throttle", points, { ink: "raw", width: 1.3 })],
    yTicks: [0, 50, 100],
  };
}

/** Rows of a map's table. */
const ROWS = 12;
/** Below this a map shows flying, not vibration: left out when the loudest cell is looked for. */
const SLOW_HZ = 15;

/** Where along the map the level is highest, and how high: a dozen rows for the whole map. */
function mapTable(result: Result, map: HeatMap, along: string): ChartTable {
  const bins = map.y.length;
  const lowest = Math.max(SLOW_HZ, frequencyDomain(result)[0]);
  const every = Math.max(1, Math.ceil(map.x.length / ROWS));
  const rows: string[][] = [];
  for (let from = 0; from < map.x.length; from += every) {
    const to = Math.min(map.x.length, from + every);
    let best = -1;
    for (let i = from * bins; i < to * bins; i++) {
      const level = map.level[i]!;
      if (Number.isFinite(level) && map.y[i % bins]! >= lowest && !(best >= 0 && level <= map.level[best]!))
        best = i;
    }
    const seconds = map.seconds.subarray(from, to).reduce((sum, s) => sum + s, 0);
    rows.push([
      range([map.x[from]!, map.x[to - 1]!], ""),
      figure(seconds),
      ...(best < 0 ? ["nothing here", ""] : [figure(map.y[best % bins]!), figure(map.level[best]!)]),
    ]);
  }
  return {
    head: [along, "flight behind it, s", `loudest above ${figure(lowest, 2)} Hz at, Hz`, map.reference],
    rows,
  };
}

/** The loudest cell, in words. */
function mapAlt(result: Result, axis: Axis, map: HeatMap, along: string, unit: string): string {
  let best = -1;
  const [lowest] = frequencyDomain(result);
  const rows = map.y.length;
  for (let i = 0; i < map.level.length; i++) {
    if (map.y[i % rows]! < Math.max(lowest, SLOW_HZ) || !Number.isFinite(map.level[i]!)) continue;
    if (best < 0 || map.level[i]! > map.level[best]!) best = i;
  }
  const span = `${along} ${range([map.x[0]!, map.x.at(-1)!], unit)}`;
  if (best < 0) return `Level of ${axis} over frequency and ${span}; nothing stands above the floor.`;
  const at = `${figure(map.y[best % rows]!)} Hz and ${figure(map.x[Math.floor(best / rows)]!)} ${unit}`;
  return `Level of ${axis} over frequency and ${span}, ${map.reference}. Loudest above ${figure(SLOW_HZ, 2)} Hz: ${figure(map.level[best]!, 3)} dB at ${at}. Order lines and modes are drawn over it.`;
}
