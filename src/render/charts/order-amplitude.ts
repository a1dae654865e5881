import type { Evidence, OrderHistory } from "../../evidence.js";
import type { Result } from "../../result.js";
import { figure, orderName } from "../format.js";
import { type InkName, SMALL_WIDTH, WIDE_WIDTH } from "../theme.js";
import type { ChartTable, Panel, PanelAxis, Sketch } from "./chart.js";
import { frame, type PanelDrawing } from "./frame.js";
import { line } from "./layers.js";
import { place } from "./scale.js";
import { type SideLabel, sideLabels } from "./side-labels.js";
import { thinSeries } from "./thin-series.js";

const LEFT = 56;
const RIGHT = 80;
const HEIGHT = 130;
const PITCH = HEIGHT + 50;
const INKS: readonly InkName[] = [
  "raw",
  "filtered",
  "dterm",
  "mode",
  "tone",
  "undetermined",
  "loud",
  "rotorLine",
];

/** Amplitude of the order lines over time, one panel per order, one line per motor. */
export function orderChart(result: Result, evidence: Evidence): Sketch | null {
  const orders = [...new Set(evidence.orderHistory.map((h) => h.order))].sort((a, b) => a - b).slice(0, 3);
  if (orders.length === 0) return null;
  const draw = (width: number): Pick<Sketch, "spec" | "panels"> => {
    const panels = orders.map((order, row) =>
      orderPanel(result, { order, row, last: row === orders.length - 1, width }, evidence),
    );
    return {
      spec: frame({ width, height: 34 + orders.length * PITCH, panels }),
      panels: panels.map((p) => p.panel),
    };
  };
  return {
    name: "order-amplitude",
    title: "Order amplitude per motor",
    group: "orders",
    alt: orderAlt(result, evidence),
    table: orderTable(result, evidence),
    ...draw(WIDE_WIDTH),
    narrow: draw(SMALL_WIDTH),
  };
}

interface Place {
  readonly order: number;
  readonly row: number;
  readonly last: boolean;
  readonly width: number;
}

function orderPanel(
  result: Result,
  { order, row, last, width }: Place,
  { orderHistory }: Evidence,
): PanelDrawing {
  const lines = orderHistory.filter((h) => h.order === order);
  const inner = width - LEFT - RIGHT;
  const times = orderHistory.flatMap((h) => [h.amplitude.x[0] ?? 0, h.amplitude.x.at(-1) ?? 1]);
  const most = Math.max(1e-3, ...lines.flatMap((h) => Array.from(h.amplitude.y).filter(Number.isFinite)));
  const xAxis: PanelAxis = {
    type: "linear",
    domain: [Math.min(...times), Math.max(...times)],
    range: [0, inner],
    title: "time",
    unit: "s",
    link: "time",
  };
  const yAxis: PanelAxis = {
    type: "linear",
    domain: [0, most * 1.05],
    range: [HEIGHT, 0],
    title: orderName(order, result.rotor.blades),
    unit: "deg/s",
    link: null,
  };
  const panel: Panel = {
    name: `order-${String(order).replace(".", "_")}`,
    x: LEFT,
    y: 34 + row * PITCH,
    width: inner,
    height: HEIGHT,
    xAxis,
    yAxis,
  };
  return {
    panel,
    inside: lines.map((h) =>
      line(curveName(h), thinSeries(h.amplitude, Math.min(500, inner)), { ink: inkOf(h), width: 1.4 }),
    ),
    over: sideLabels(
      lines.map((h): SideLabel => ({ y: place(yAxis, lastKnown(h)), text: motorName(h), ink: inkOf(h) })),
      panel,
    ),
    axes: { x: last, xTitle: last },
  };
}

const curveName = (h: OrderHistory): string => `motor-${h.motor ?? "all"}`;
const motorName = (h: OrderHistory): string => (h.motor === null ? "all rotors" : `motor ${h.motor}`);
const inkOf = (h: OrderHistory): InkName => INKS[((h.motor ?? 1) - 1) % INKS.length]!;
const lastKnown = (h: OrderHistory): number =>
  Array.from(h.amplitude.y).findLast((y) => Number.isFinite(y)) ?? 0;

function medianOf(h: OrderHistory): number {
  const known = Array.from(h.amplitude.y)
    .filter(Number.isFinite)
    .sort((a, b) => a - b);
  return known[known.length >> 1] ?? Number.NaN;
}

function orderAlt(result: Result, { orderHistory }: Evidence): string {
  const said = orderHistory
    .filter((h) => h.order === 1)
    .map((h) => `${motorName(h)} ${figure(medianOf(h))} deg/s`);
  const worst = result.rotor.worstMotor;
  return `Amplitude of the order lines over time. Median once per turn: ${said.join(", ")}. ${worst === null ? "No motor stands out." : `Motor ${worst} stands out.`}`;
}

function orderTable(result: Result, { orderHistory }: Evidence): ChartTable {
  return {
    head: ["motor", "order", "median, deg/s"],
    rows: orderHistory.map((h) => [
      motorName(h),
      orderName(h.order, result.rotor.blades),
      figure(medianOf(h)),
    ]),
  };
}
