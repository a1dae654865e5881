import type { Evidence } from "../../evidence.js";
import type { Result } from "../../result.js";
import type { Spectrum } from "../../spectra/spectrum.js";
import { AXES, type Axis } from "../../units.js";
import { figure, modeHz } from "../format.js";
import { type InkName, SMALL_WIDTH } from "../theme.js";
import type { ChartTable, Panel, PanelAxis, Sketch } from "./chart.js";
import { modesOn } from "./features.js";
import { frame, type PanelDrawing } from "./frame.js";
import { frequencyAxis } from "./frequency-axis.js";
import { band, boxes, crossLines, type Layer, line } from "./layers.js";
import { rotorLayers } from "./rotor-layers.js";
import { place } from "./scale.js";
import { type SideLabel, sideLabels } from "./side-labels.js";
import { type ThinPoint, thinSpectrum } from "./thin-spectrum.js";

const LEFT = 56;
const RIGHT = 66;
const TOP = 30;
const GYRO_HEIGHT = 214;
const DTERM_HEIGHT = 92;
const BETWEEN = 34;

type Signal = "raw" | "filtered" | "dterm";

/** Power spectral density of one axis after the other: gyro raw and filtered, D-term in its own units below. */
export function spectraCharts(result: Result, evidence: Evidence): Sketch[] {
  return AXES.flatMap((axis) => {
    const spectra = evidence.spectra[axis];
    if (spectra.raw === null && spectra.filtered === null) return [];
    return [spectrumChart(result, evidence, axis)];
  });
}

function spectrumChart(result: Result, evidence: Evidence, axis: Axis): Sketch {
  const { raw, filtered, dterm } = evidence.spectra[axis];
  const gyro = [
    ["raw", raw],
    ["filtered", filtered],
  ].filter((s): s is [Signal, Spectrum] => s[1] !== null);
  const panels: PanelDrawing[] = [
    panelFor(result, axis, {
      name: `psd-${axis}`,
      top: TOP,
      height: GYRO_HEIGHT,
      curves: gyro,
      last: dterm === null,
    }),
  ];
  let height = TOP + GYRO_HEIGHT + 46;
  if (dterm !== null) {
    const top = TOP + GYRO_HEIGHT + BETWEEN;
    panels.push(
      panelFor(result, axis, {
        name: `psd-dterm-${axis}`,
        top,
        height: DTERM_HEIGHT,
        curves: [["dterm", dterm]],
        last: true,
      }),
    );
    height = top + DTERM_HEIGHT + 46;
  }
  return {
    name: `spectrum-${axis}`,
    title: `Spectrum of ${axis}`,
    group: "spectra",
    alt: spectrumAlt(result, evidence, axis),
    table: spectrumTable(result, axis),
    spec: frame({ width: SMALL_WIDTH, height, panels }),
    panels: panels.map((p) => p.panel),
  };
}

interface PanelInput {
  readonly name: string;
  readonly top: number;
  readonly height: number;
  readonly curves: readonly (readonly [Signal, Spectrum])[];
  readonly last: boolean;
}

const STYLE: Readonly<Record<Signal, { ink: InkName; name: string; width: number }>> = {
  raw: { ink: "raw", name: "raw", width: 1.2 },
  filtered: { ink: "filtered", name: "filtered", width: 1.2 },
  dterm: { ink: "dterm", name: "D-term", width: 1.2 },
};

function panelFor(result: Result, axis: Axis, input: PanelInput): PanelDrawing {
  const { name, top, height, curves, last } = input;
  const width = SMALL_WIDTH - LEFT - RIGHT;
  const xAxis = frequencyAxis(result, width);
  const thinned = curves.map(([signal, spectrum]) => ({
    signal,
    spectrum,
    points: thinSpectrum(spectrum, xAxis.domain),
  }));
  const isDterm = curves[0]![0] === "dterm";
  const yAxis = densityAxis(
    thinned.map((t) => t.points),
    { height, title: isDterm ? "D-term PSD" : "PSD", unit: curves[0]![1].unit },
  );
  const panel: Panel = { name, x: LEFT, y: top, width, height, xAxis, yAxis };
  const modes = modesOn(result, axis);
  const inside: Layer[] = [
    ...rotorLayers(result, height, 0.5),
    boxes("quiet-band", quietBox(result, axis), { ink: "quiet", height, opacity: 0.28 }),
    boxes(
      "mode-interval",
      modes.map((m) => ({ x: m.ci95Hz[0], x2: m.ci95Hz[1] })),
      { ink: "modeBand", height },
    ),
    crossLines(
      "mode-line",
      modes.map((m) => ({ x: m.frequencyHz })),
      { ink: "mode", width: 1, along: "x", length: height },
    ),
    ...thinned.flatMap(({ signal, points }) => [
      ...(signal === "filtered"
        ? []
        : [
            band(
              `interval-${signal}`,
              points.map((p) => ({ x: p.x, y: p.low, y2: p.high })),
              signal === "raw" ? "rawBand" : "rotor",
            ),
          ]),
      line(`curve-${signal}`, points, STYLE[signal]),
    ]),
  ];
  const labels = thinned.map(({ signal, points }): SideLabel => {
    const ending = points
      .slice(-Math.ceil(points.length / 20))
      .map((p) => p.y)
      .sort((a, b) => a - b);
    return {
      y: place(yAxis, ending[ending.length >> 1] ?? yAxis.domain[0]),
      text: STYLE[signal].name,
      ink: STYLE[signal].ink,
      name: `name-${signal}`,
    };
  });
  return { panel, inside, over: sideLabels(labels, panel), axes: { x: last, xTitle: last } };
}

function quietBox(result: Result, axis: Axis): { x: number; x2: number }[] {
  const { fromHz, toHz } = result.axes[axis].quietBand;
  return fromHz === null || toHz === null || toHz <= fromHz ? [] : [{ x: fromHz, x2: toHz }];
}

function densityAxis(
  curves: readonly (readonly ThinPoint[])[],
  o: { height: number; title: string; unit: string },
): PanelAxis {
  const all = curves.flat();
  const low = Math.min(...all.map((p) => p.y).filter((v) => v > 0));
  const high = Math.max(...all.map((p) => p.high).filter((v) => v > 0));
  const bottom = Number.isFinite(low) ? 10 ** Math.floor(Math.log10(low)) : 1e-6;
  const top = Number.isFinite(high) && high > bottom ? 10 ** Math.ceil(Math.log10(high)) : bottom * 10;
  return {
    type: "log",
    domain: [Math.max(bottom, top * 1e-9), top],
    range: [o.height, 0],
    title: o.title,
    unit: o.unit,
    link: null,
  };
}

function spectrumAlt(result: Result, evidence: Evidence, axis: Axis): string {
  const { raw, filtered, dterm } = evidence.spectra[axis];
  const first = raw ?? filtered!;
  const line = result.axes[axis].strongestLine;
  const modes = modesOn(result, axis);
  return [
    `Power spectral density of ${axis} in ${first.unit}, ${figure(first.averages, 3)} averages, resolution ${figure(first.resolution, 2)} Hz, with its 95 % band.`,
    line === null
      ? "No line stands out."
      : `The strongest line is at ${figure(line.hz)} Hz, ${figure(line.levelDb, 2)} dB above the floor: ${line.what}.`,
    modes.length === 0 ? "No mode on this axis." : `Modes at ${modes.map(modeHz).join(", ")}.`,
    raw === null ? "The raw gyro is missing." : "",
    filtered === null ? "The filtered gyro is missing." : "",
    dterm === null ? "There is no D-term on this axis." : "",
  ]
    .filter((s) => s !== "")
    .join(" ");
}

function spectrumTable(result: Result, axis: Axis): ChartTable {
  return {
    head: ["band, Hz", "raw, deg/s RMS", "filtered, deg/s RMS", "D-term RMS"],
    rows: result.axes[axis].bands.map((b) => [
      `${figure(b.fromHz)} to ${figure(b.toHz)}`,
      figure(b.gyroRawDps),
      figure(b.gyroFilteredDps),
      figure(b.dterm),
    ]),
  };
}
