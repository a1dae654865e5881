import type { TrendPoint } from "../compare/comparison.js";
import { AXES, type Interval } from "../units.js";
import type { Panel, PanelAxis, Sketch } from "./charts/chart.js";
import { frame, type PanelDrawing } from "./charts/frame.js";
import { crossLines, line, pieces, signs } from "./charts/layers.js";
import { place } from "./charts/scale.js";
import { figure, range } from "./format.js";
import { SMALL_WIDTH } from "./theme.js";

const LEFT = 50;
const RIGHT = 20;
const TOP = 34;
const HEIGHT = 80;
const STEP = HEIGHT + 40;

/** One row of the trend: a number with its interval per flight. */
interface Row {
  readonly name: string;
  readonly title: string;
  readonly unit: string;
  readonly zero: boolean;
  readonly values: readonly ({ readonly value: number; readonly ci95: Interval } | null)[];
}

/** Every flight against the first: level per axis, once per turn, first mode. */
export function trendChart(trend: readonly TrendPoint[]): Sketch {
  const rows = trendRows(trend).filter((row) => row.values.filter((v) => v !== null).length > 1);
  const width = SMALL_WIDTH - LEFT - RIGHT;
  const drawn = rows.map((row, i) =>
    rowPanel(row, { top: TOP + i * STEP, width, last: i === rows.length - 1 }),
  );
  return {
    name: "compare-trend",
    title: "Trend: every flight against the first",
    alt: rows.map(rowWords).join(" "),
    group: "time",
    spec: frame({ width: SMALL_WIDTH, height: TOP + rows.length * STEP + 10, panels: drawn }),
    panels: drawn.map((d) => d.panel),
    table: {
      head: ["flight", ...rows.map((row) => `${row.title}, ${row.unit}`), "call"],
      rows: trend.map((point, i) => [
        `${i + 1} ${point.flight}`,
        ...rows.map(({ values }) =>
          values[i] == null ? "unknown" : `${figure(values[i].value)} (${range(values[i].ci95, "")})`,
        ),
        point.call,
      ]),
    },
  };
}

function trendRows(trend: readonly TrendPoint[]): Row[] {
  const first = { value: 0, ci95: [0, 0] as const };
  const pair = (value: number | null, ci95: Interval | null) =>
    value === null || ci95 === null ? null : { value, ci95 };
  return [
    ...AXES.map((axis): Row => {
      const values = trend.map((point, i) => {
        const own = point.axes.find((a) => a.axis === axis);
        return i === 0 ? first : pair(own?.ratioDb ?? null, own?.ci95Db ?? null);
      });
      return { name: axis, title: `${axis} level against the first`, unit: "dB", zero: true, values };
    }),
    {
      name: "once",
      title: "once per turn against the first",
      unit: "dB",
      zero: true,
      values: trend.map((point, i) => (i === 0 ? first : pair(point.onceDb, point.onceCi95Db))),
    },
    {
      name: "first-mode",
      title: "first mode",
      unit: "Hz",
      zero: false,
      values: trend.map((point) => pair(point.firstModeHz, point.firstModeCi95Hz)),
    },
  ];
}

function rowPanel(
  row: Row,
  { top, width, last }: { top: number; width: number; last: boolean },
): PanelDrawing {
  const count = row.values.length;
  const known = row.values.flatMap((v, i) => (v === null ? [] : [{ x: i + 1, ...v }]));
  const ends = known.flatMap((v) => [...v.ci95]);
  const [low, high] = [
    Math.min(...ends, row.zero ? -1 : Infinity),
    Math.max(...ends, row.zero ? 1 : -Infinity),
  ];
  const spare = 0.08 * (high - low) || 1;
  const xAxis: PanelAxis = {
    type: "linear",
    domain: [0.5, count + 0.5],
    range: [0, width],
    title: "flight",
    unit: "",
    link: null,
  };
  const yAxis: PanelAxis = {
    type: "linear",
    domain: [low - spare, high + spare],
    range: [HEIGHT, 0],
    title: row.title,
    unit: row.unit,
    link: null,
  };
  const panel: Panel = { name: `trend-${row.name}`, x: LEFT, y: top, width, height: HEIGHT, xAxis, yAxis };
  const at = (v: (typeof known)[number], y: number) => ({ x: place(xAxis, v.x), y: place(yAxis, y) });
  return {
    panel,
    axes: { x: last, xTitle: last },
    inside: [
      ...(row.zero
        ? [crossLines(`zero-${row.name}`, [{ y: 0 }], { ink: "soft", along: "y", length: width })]
        : []),
      pieces(
        `interval-${row.name}`,
        known.map((v) => ({ ...at(v, v.ci95[0]), x2: at(v, 0).x, y2: at(v, v.ci95[1]).y })),
        { ink: "raw", width: 2 },
      ),
      line(
        `path-${row.name}`,
        known.map((v) => ({ x: v.x, y: v.value })),
        { ink: "raw", width: 1, dash: [3, 3] },
      ),
      signs(
        `value-${row.name}`,
        known.map((v) => ({ x: v.x, y: v.value })),
        { ink: "raw", shape: "circle", size: 40 },
      ),
    ],
  };
}

function rowWords(row: Row): string {
  const said = row.values.map((v) => (v === null ? "unknown" : figure(v.value)));
  return `${row.title}: ${said.join(", ")} ${row.unit}.`;
}
