import type { Comparison, OverlayCurve } from "../compare/comparison.js";
import type { Panel, PanelAxis, Sketch } from "./charts/chart.js";
import { frame } from "./charts/frame.js";
import { line, words } from "./charts/layers.js";
import { figure } from "./format.js";
import { SMALL_WIDTH } from "./theme.js";

const LEFT = 50;
const RIGHT = 14;
const TOP = 46;
const HEIGHT = 200;

/** Frequency axis that all charts of a comparison share. */
export function compareFrequencyAxis({ overlay, bands }: Comparison, width: number): PanelAxis {
  const all = [
    ...overlay.flatMap((c) => [c.hz[0]!, c.hz.at(-1)!]),
    ...bands.flatMap((b) => [b.fromHz, b.toHz]),
  ];
  return {
    type: "log",
    domain: [Math.min(...all), Math.max(...all)],
    range: [0, width],
    title: "frequency",
    unit: "Hz",
    link: "frequency",
  };
}

/** Both sides' level between the rotor lines at equal rotor speed, one over the other; before is dashed. */
export function overlayChart(curve: OverlayCurve, comparison: Comparison): Sketch {
  const width = SMALL_WIDTH - LEFT - RIGHT;
  const known = [...curve.beforeDb, ...curve.afterDb].filter((db) => db !== null);
  const low = Math.floor((Math.min(...known) - 2) / 5) * 5;
  const high = Math.ceil((Math.max(...known) + 2) / 5) * 5;
  const yAxis: PanelAxis = {
    type: "linear",
    domain: [low, high],
    range: [HEIGHT, 0],
    title: "level",
    unit: "dB re 1 (deg/s)²/Hz",
    link: null,
  };
  const xAxis = compareFrequencyAxis(comparison, width);
  const panel: Panel = {
    name: `overlay-${curve.axis}`,
    x: LEFT,
    y: TOP,
    width,
    height: HEIGHT,
    xAxis,
    yAxis,
  };
  const points = (levels: readonly (number | null)[]) =>
    curve.hz.map((x, i) => ({ x, y: levels[i] ?? null }));
  const spec = frame({
    width: SMALL_WIDTH,
    height: TOP + HEIGHT + 44,
    panels: [
      {
        panel,
        inside: [
          line("curve-before", points(curve.beforeDb), { ink: "dterm", width: 1.6, dash: [5, 3] }),
          line("curve-after", points(curve.afterDb), { ink: "raw", width: 1.8 }),
        ],
        over: [
          words("name-before", [{ x: width - 62, y: -28, text: "- - before" }], {
            ink: "dterm",
            align: "right",
          }),
          words("name-after", [{ x: width, y: -28, text: "— after" }], { ink: "raw", align: "right" }),
        ],
      },
    ],
  });
  return {
    name: `compare-overlay-${curve.axis}`,
    title: `${curve.axis}: both flights between the rotor lines`,
    alt: overlayWords(curve),
    group: "spectra",
    spec,
    panels: [panel],
    table: {
      head: ["frequency, Hz", "before, dB", "after, dB"],
      rows: curve.hz.map((hz, i) => [
        figure(hz),
        figure(curve.beforeDb[i] ?? null),
        figure(curve.afterDb[i] ?? null),
      ]),
    },
  };
}

function overlayWords({ axis, beforeDb, afterDb }: OverlayCurve): string {
  const gaps = beforeDb.filter((db) => db === null).length;
  const range = (levels: readonly (number | null)[]): string => {
    const known = levels.filter((db) => db !== null);
    return known.length === 0
      ? "unknown"
      : `${figure(Math.min(...known))} to ${figure(Math.max(...known))} dB`;
  };
  return `Level of ${axis} between the rotor lines: before ${range(beforeDb)}, after ${range(afterDb)}; ${gaps} of ${beforeDb.length} cells lie under rotor lines in either flight and are left open.`;
}
