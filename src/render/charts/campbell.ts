import type { Mode } from "../../modes/mode.js";
import type { Result } from "../../result.js";
import { figure, modeHz, percent, range, trimmed } from "../format.js";
import { SMALL_WIDTH, WIDE_WIDTH } from "../theme.js";
import type { ChartTable, Panel, PanelAxis, Sketch } from "./chart.js";
import { drawnOrders, folded } from "./features.js";
import { frame } from "./frame.js";
import { boxes, crossLines, type Layer, signs, words } from "./layers.js";
import { briefName, orderCurves, orderLayers } from "./order-curves.js";
import { place } from "./scale.js";
import { type SideLabel, sideLabels } from "./side-labels.js";

/** An order line meets a mode. */
export interface Meeting {
  readonly mode: Mode;
  readonly order: number;
  readonly rotorHz: number;
  /** null where throttle is not known. */
  readonly throttle: number | null;
  /** The line is there only in the log: folded, it does not shake the mode. */
  readonly folded: boolean;
}

/**
 * The Campbell diagram: frequency against rotor frequency, orders as rays (dashed where folded about the log's
 * Nyquist), modes as level lines, and a mark with the throttle wherever a ray meets a mode. Null when nothing turns.
 */
export function campbell(result: Result): Sketch | null {
  if (result.rotor.bandHz === null) return null;
  const met = meetings(result);
  return {
    name: "campbell",
    title: "Campbell diagram: where turning lines meet what stays put",
    group: "campbell",
    alt: campbellAlt(result, met),
    table: meetingTable(met),
    ...draw(result, met, { width: WIDE_WIDTH, height: 430, right: 190 }),
    narrow: draw(result, met, { width: SMALL_WIDTH, height: 420, right: 96 }),
  };
}

/** Every meeting of an order line with a mode within the flight's band of rotor frequency. */
export function meetings(result: Result): Meeting[] {
  const { bandHz } = result.rotor;
  if (bandHz === null) return [];
  const period = 2 * result.log.nyquistHz;
  return result.modes.flatMap((mode) =>
    drawnOrders(result).flatMap((order) => {
      const found: Meeting[] = [];
      const top = bandHz[1] * order;
      for (let k = 0; k * period <= top + mode.frequencyHz; k++) {
        const trueHz =
          k === 0 ? [mode.frequencyHz] : [k * period - mode.frequencyHz, k * period + mode.frequencyHz];
        for (const hz of trueHz) {
          const rotorHz = hz / order;
          if (rotorHz < bandHz[0] || rotorHz > bandHz[1]) continue;
          found.push({ mode, order, rotorHz, throttle: throttleAt(result, rotorHz), folded: k > 0 });
        }
      }
      return found;
    }),
  );
}

/** The throttle at which the rotors turn so fast, from the result's curve. */
function throttleAt(result: Result, hz: number): number | null {
  const { curve } = result.rotor;
  for (let i = 1; i < curve.length; i++) {
    const [a, b] = [curve[i - 1]!, curve[i]!];
    if ((a.hz - hz) * (b.hz - hz) > 0 || a.hz === b.hz) continue;
    return a.throttle + ((b.throttle - a.throttle) * (hz - a.hz)) / (b.hz - a.hz);
  }
  return null;
}

interface Box {
  readonly width: number;
  readonly height: number;
  readonly right: number;
}

const LEFT = 52;
const TOP = 34;

function draw(result: Result, met: readonly Meeting[], box: Box): Pick<Sketch, "spec" | "panels"> {
  const panel = panelOf(result, box);
  const { xAxis, yAxis } = panel;
  const [from, to] = xAxis.domain;
  const curves = orderCurves(result, [
    { x: from, hz: from },
    ...Array.from({ length: 39 }, (_, i) => from + ((i + 1) * (to - from)) / 40).map((hz) => ({ x: hz, hz })),
    { x: to, hz: to },
  ]);
  const top = yAxis!.domain[1];
  const modes = result.modes.filter((m) => m.frequencyHz <= top);
  const band = result.rotor.bandHz!;
  const y = (hz: number): number => place(yAxis!, hz);
  const labels: SideLabel[] = [
    ...curves
      .filter((c) => c.end <= top)
      .map(
        (c): SideLabel => ({
          y: y(c.end),
          text: box.right < 120 ? briefName(c) : c.endsFolded ? `${c.name}, folded` : c.name,
          ink: "rotorText",
        }),
      ),
    ...modes.map((m): SideLabel => ({ y: y(m.frequencyHz), text: modeHz(m), ink: "mode" })),
  ];
  const inside: Layer[] = [
    boxes("rotor-band", [{ x: band[0], x2: band[1] }], { ink: "rotor", height: panel.height, opacity: 0.45 }),
    boxes(
      "mode-interval",
      modes.map((m) => ({ x: from, x2: to, y: m.ci95Hz[0], y2: m.ci95Hz[1] })),
      { ink: "modeBand" },
    ),
    ...orderLayers(curves, "paper"),
    crossLines(
      "mode-line",
      modes.map((m) => ({ y: m.frequencyHz })),
      { ink: "mode", width: 1.6, along: "y", length: panel.width },
    ),
    ...meetingLayers(
      met.filter((m) => m.mode.frequencyHz <= top),
      panel,
    ),
  ];
  const flown = { x: place(xAxis, band[0]) + 6, y: panel.height - 10, text: flownWords(met) };
  const over = [...sideLabels(labels, panel), words("flown-name", [flown], { ink: "rotorText" })];
  return {
    spec: frame({ width: box.width, height: box.height, panels: [{ panel, inside, over }] }),
    panels: [panel],
  };
}

/** What the shaded band is, and what the numbers at the marks are. */
const flownWords = (met: readonly Meeting[]): string =>
  met.some((m) => !m.folded && m.throttle !== null) ? "speeds flown; marks with throttle" : "speeds flown";

function panelOf(result: Result, { width, height, right }: Box): Panel {
  const band = result.rotor.bandHz!;
  const inner = { width: width - LEFT - right, height: height - TOP - 50 };
  const xAxis: PanelAxis = {
    type: "linear",
    domain: [band[0] * 0.85, band[1] * 1.1],
    range: [0, inner.width],
    title: "rotor frequency",
    unit: "Hz",
    link: "rotor",
  };
  const yAxis: PanelAxis = {
    type: "linear",
    domain: [0, frequencyTop(result)],
    range: [inner.height, 0],
    title: "frequency",
    unit: "Hz",
    link: "frequency",
  };
  return { name: "campbell", x: LEFT, y: TOP, ...inner, xAxis, yAxis };
}

/** As high as modes and the blade pass ask for, never above Nyquist. */
function frequencyTop(result: Result): number {
  const { bandHz, blades } = result.rotor;
  const orders = bandHz![1] * Math.max(2, blades ?? 2) * 1.15;
  const modes = result.modes.reduce((most, m) => Math.max(most, m.frequencyHz * 1.15), 0);
  return Math.min(result.log.nyquistHz, Math.max(orders, modes));
}

function meetingLayers(met: readonly Meeting[], panel: Panel): Layer[] {
  const at = (m: Meeting): { x: number; y: number } => ({ x: m.rotorHz, y: m.mode.frequencyHz });
  const named = met
    .filter((m) => !m.folded && m.throttle !== null)
    .map((m) => ({
      x: place(panel.xAxis, m.rotorHz),
      y: place(panel.yAxis!, m.mode.frequencyHz) - 12,
      text: percent(m.throttle),
    }));
  return [
    signs("meeting-folded", met.filter((m) => m.folded).map(at), {
      ink: "hidden",
      shape: "circle",
      size: 46,
      hollow: true,
    }),
    signs("meeting", met.filter((m) => !m.folded).map(at), {
      ink: "mode",
      shape: "circle",
      size: 64,
      outline: "plot",
    }),
    words("meeting-throttle", withoutTouching(named), { ink: "text", align: "center" }),
  ];
}

/** Leaves out a label that would lie on an earlier one; the table lists all. */
function withoutTouching<T extends { x: number; y: number }>(labels: readonly T[]): T[] {
  const kept: T[] = [];
  for (const label of labels) {
    if (kept.every((k) => Math.abs(k.x - label.x) > 42 || Math.abs(k.y - label.y) > 15)) kept.push(label);
  }
  return kept;
}

function campbellAlt(result: Result, met: readonly Meeting[]): string {
  const { bandHz } = result.rotor;
  const real = met.filter((m) => !m.folded);
  const words = real
    .slice(0, 6)
    .map(
      (m) =>
        `order ${trimmed(m.order)} meets ${modeHz(m.mode)} at ${figure(m.rotorHz)} Hz${throttleWords(m)}`,
    );
  const folds = drawnOrders(result).filter(
    (o) => folded(bandHz![1] * o, result.log.nyquistHz) < bandHz![1] * o - 1e-9,
  );
  return [
    `Rotor frequency ${range(bandHz, "Hz")}.`,
    real.length === 0 ? "No order line meets a mode in that band." : `${words.join("; ")}.`,
    folds.length === 0
      ? ""
      : `Orders ${folds.map((o) => trimmed(o)).join(", ")} lie folded in part or whole.`,
  ].join(" ");
}

const throttleWords = (m: Meeting): string =>
  m.throttle === null ? "" : `, ${percent(m.throttle)} throttle`;

function meetingTable(met: readonly Meeting[]): ChartTable {
  return {
    head: ["mode", "order", "rotor, Hz", "throttle", "line"],
    rows: met.map((m) => [
      modeHz(m.mode),
      trimmed(m.order),
      figure(m.rotorHz),
      percent(m.throttle),
      m.folded ? "folded: in the log only" : "true",
    ]),
  };
}
