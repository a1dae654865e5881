import type { Evidence } from "../../evidence.js";
import type { FixedSpectrum, Mode } from "../../modes/mode.js";
import type { Result } from "../../result.js";
import type { Axis } from "../../units.js";
import { figure, modeHz, modeHzWithInterval, percent, range } from "../format.js";
import { SMALL_WIDTH } from "../theme.js";
import type { ChartTable, Panel, PanelAxis, Sketch } from "./chart.js";
import { frame } from "./frame.js";
import { band, boxes, crossLines, line } from "./layers.js";
import { place } from "./scale.js";
import { sideLabels } from "./side-labels.js";

const LEFT = 56;
const RIGHT = 58;
const TOP = 30;
const HEIGHT = 190;
const MOST = 9;

/** Each mode close up on the axis where it stands highest: what was measured, the fit, the interval. */
export function modeFitCharts(result: Result, evidence: Evidence): Sketch[] {
  return result.modes.slice(0, MOST).flatMap((mode, i) => {
    const axis = [...mode.axes].sort((a, b) => b.prominenceDb - a.prominenceDb)[0]?.axis;
    const fixed = axis === undefined ? null : evidence.fixed[axis];
    return axis === undefined || fixed === null ? [] : closeUp(mode, { axis, fixed, number: i + 1 });
  });
}

function closeUp(
  mode: Mode,
  { axis, fixed, number }: { axis: Axis; fixed: FixedSpectrum; number: number },
): Sketch[] {
  const half = Math.max(12, 10 * mode.dampingRatio * mode.frequencyHz);
  const near = Array.from(fixed.frequency.keys()).filter(
    (k) => Math.abs(fixed.frequency[k]! - mode.frequencyHz) <= half && fixed.density[k]! > 0,
  );
  if (near.length < 5) return [];
  const x = (k: number): number => fixed.frequency[k]!;
  const data = near.map((k) => ({ x: x(k), y: fixed.density[k]! }));
  const interval = near
    .map((k) => ({ x: x(k), y: fixed.lower[k]!, y2: fixed.upper[k]! }))
    .filter((p) => p.y > 0 && p.y2 > 0);
  const model = near.map((k) => ({ x: x(k), y: fixed.model[k]! > 0 ? fixed.model[k]! : Number.NaN }));
  const panel = panelOf(mode, { near, fixed, number, half });
  const { yAxis } = panel;
  const end = (points: readonly { y: number }[]): number =>
    place(yAxis!, points.findLast((p) => p.y > 0)?.y ?? yAxis!.domain[0]);
  const hasFit = model.some((p) => p.y > 0);
  const labels = [
    { y: end(data), text: "data", ink: "raw" as const },
    ...(hasFit ? [{ y: end(model), text: "fit", ink: "mode" as const }] : []),
  ];
  return [
    {
      name: `mode-${number}`,
      title: `${modeHz(mode)} on ${axis}, damping ${percent(mode.dampingRatio)}`,
      group: "fits",
      alt: `What stays put on ${axis} around ${modeHzWithInterval(mode)}, with the fitted second-order mode: damping ${percent(mode.dampingRatio)}, ${figure(Math.max(...mode.axes.map((a) => a.prominenceDb)), 2)} dB above the floor.`,
      table: closeUpTable(mode, axis, fixed),
      spec: frame({
        width: SMALL_WIDTH,
        height: TOP + HEIGHT + 50,
        panels: [
          {
            panel,
            inside: [
              boxes("mode-interval", [{ x: mode.ci95Hz[0], x2: mode.ci95Hz[1] }], {
                ink: "modeBand",
                height: HEIGHT,
              }),
              crossLines("mode-line", [{ x: mode.frequencyHz }], {
                ink: "mode",
                width: 1,
                along: "x",
                length: HEIGHT,
              }),
              band("interval-raw", interval, "rawBand"),
              line("curve-raw", data, { ink: "raw", width: 1.1 }),
              ...(hasFit ? [line("curve-fit", model, { ink: "mode", width: 2.2 })] : []),
            ],
            over: sideLabels(labels, panel),
          },
        ],
      }),
      panels: [panel],
    },
  ];
}

/** The numbers of the fit, then what was measured at and around the mode. */
function closeUpTable(mode: Mode, axis: Axis, fixed: FixedSpectrum): ChartTable {
  const step = fixed.frequency[1]! - fixed.frequency[0]!;
  const middle = Math.round(mode.frequencyHz / step);
  const apart = Math.max(1, Math.round((mode.dampingRatio * mode.frequencyHz) / step));
  const rows = [-4, -2, -1, 0, 1, 2, 4].flatMap((n) => {
    const k = middle + n * apart;
    if (!(fixed.density[k]! > 0)) return [];
    return [
      [
        figure(fixed.frequency[k]!, 4),
        figure(fixed.density[k]!),
        range([fixed.lower[k]!, fixed.upper[k]!], ""),
        figure(fixed.model[k]!),
      ],
    ];
  });
  return {
    head: [`frequency on ${axis}, Hz`, "measured, (deg/s)²/Hz", "95 % interval", "fit, (deg/s)²/Hz"],
    rows,
  };
}

function panelOf(
  mode: Mode,
  o: { near: readonly number[]; fixed: FixedSpectrum; number: number; half: number },
): Panel {
  const width = SMALL_WIDTH - LEFT - RIGHT;
  const values = o.near
    .flatMap((k) => [o.fixed.lower[k]!, o.fixed.upper[k]!, o.fixed.density[k]!])
    .filter((v) => v > 0);
  const xAxis: PanelAxis = {
    type: "linear",
    domain: [Math.max(0, mode.frequencyHz - o.half), mode.frequencyHz + o.half],
    range: [0, width],
    title: "frequency",
    unit: "Hz",
    link: null,
  };
  const yAxis: PanelAxis = {
    type: "log",
    domain: [Math.min(...values) * 0.8, Math.max(...values) * 1.2],
    range: [HEIGHT, 0],
    title: "PSD of what stays put",
    unit: "(deg/s)²/Hz",
    link: null,
  };
  return { name: `mode-${o.number}`, x: LEFT, y: TOP, width, height: HEIGHT, xAxis, yAxis };
}
