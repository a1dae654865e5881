import type { HeatMap } from "../../spectra/spectrum.js";
import { quantile } from "../../stats/quantile.js";
import type { Panel } from "./chart.js";
import { type Layer, picture, words } from "./layers.js";
import { colourNumbers, palettePng } from "./palette.js";

/** Height in pixels of a map's picture; the frequency axis is logarithmic, so rows are resampled to it. */
const ROWS = 220;
const MOST_COLUMNS = 400;

/** A heat map ready to be put into a panel. */
export interface HeatPicture {
  readonly url: string;
  /** dB at the ends of the colour scale. */
  readonly domain: readonly [number, number];
  readonly reference: string;
}

/** Ends of the colour scale: the quiet of the quietest maps to what all but a thousandth stay below. */
export function levelDomain(maps: readonly (HeatMap | null)[]): readonly [number, number] {
  const levels: number[] = [];
  for (const map of maps) {
    if (map === null) continue;
    const stride = Math.max(1, Math.floor(map.level.length / 20_000));
    for (let i = 0; i < map.level.length; i += stride)
      if (Number.isFinite(map.level[i]!)) levels.push(map.level[i]!);
  }
  if (levels.length === 0) return [-60, 0];
  const known = Float64Array.from(levels);
  const low = Math.floor(quantile(known, 0.02) / 5) * 5;
  const high = Math.ceil(quantile(known, 0.999) / 5) * 5;
  return [low, Math.max(high, low + 10)];
}

/**
 * A map as a picture: its columns laid evenly over the x scale, its rows resampled to the panel's frequency scale.
 *
 * A row of the picture that spans several bins shows the largest of them, so that no line is lost between rows.
 */
export function heatPicture(map: HeatMap, panel: Panel, domain: readonly [number, number]): HeatPicture {
  const { yAxis } = panel;
  const [low, high] = yAxis!.domain;
  const log = yAxis!.type === "log";
  const at = (share: number): number => (log ? low * (high / low) ** share : low + (high - low) * share);
  const columns = Math.min(MOST_COLUMNS, Math.max(2, Math.round(panel.width)));
  const column = columnOf(map, panel, columns);
  const levels = new Float32Array(columns * ROWS).fill(Number.NaN);
  const bins = map.y.length;
  for (let row = 0; row < ROWS; row++) {
    const [from, to] = binsBetween(map.y, at(1 - (row + 1) / ROWS), at(1 - row / ROWS));
    for (let c = 0; c < columns; c++) {
      const x = column[c]!;
      if (x < 0) continue;
      let most = Number.NaN;
      for (let k = from; k <= to; k++) {
        const level = map.level[x * bins + k]!;
        if (!(level <= most)) most = level;
      }
      levels[row * columns + c] = most;
    }
  }
  return { url: palettePng(colourNumbers(levels, domain), columns, ROWS), domain, reference: map.reference };
}

/** For each column of the picture the map's column whose centre is nearest; −1 beyond the ends. */
function columnOf(map: HeatMap, panel: Panel, columns: number): Int32Array {
  const [from, to] = panel.xAxis.domain;
  const x = map.x;
  const half = x.length > 1 ? (x[1]! - x[0]!) / 2 : Number.POSITIVE_INFINITY;
  const out = new Int32Array(columns);
  let k = 0;
  for (let c = 0; c < columns; c++) {
    const at = from + ((c + 0.5) / columns) * (to - from);
    while (k + 1 < x.length && Math.abs(x[k + 1]! - at) <= Math.abs(x[k]! - at)) k++;
    out[c] = Math.abs(x[k]! - at) <= half * 1.5 ? k : -1;
  }
  return out;
}

/** Bins between two frequencies; at least the nearest one. */
function binsBetween(y: Float64Array, low: number, high: number): [number, number] {
  const step = y.length > 1 ? y[1]! - y[0]! : 1;
  const clamp = (k: number): number => Math.min(y.length - 1, Math.max(0, k));
  const from = clamp(Math.ceil((low - y[0]!) / step));
  const to = clamp(Math.floor((high - y[0]!) / step));
  if (from <= to) return [from, to];
  const near = clamp(Math.round(((low + high) / 2 - y[0]!) / step));
  return [near, near];
}

/** The picture in its panel. */
export function heatLayer(heat: HeatPicture, panel: Panel): Layer {
  return picture("heat", heat.url, { x: 0, y: 0, width: panel.width, height: panel.height });
}

const BAR_WIDTH = 96;
const BAR_HEIGHT = 8;

/** The scale bar above the panel's right end: colours from quiet to loud, their levels, and what 0 dB is. */
export function scaleBar(heat: HeatPicture, panel: Panel): Layer[] {
  const pixels = Uint8Array.from({ length: 128 }, (_, i) => Math.round((i / 127) * 254));
  const [low, high] = heat.domain;
  // As far right as the labels at the side allow, since the axis title stands at the left.
  const x = panel.width - BAR_WIDTH + 22;
  const middle = -20 + BAR_HEIGHT / 2;
  return [
    picture("scale-bar", palettePng(pixels, 128, 1), { x, y: -20, width: BAR_WIDTH, height: BAR_HEIGHT }),
    words("scale-low", [{ x: x - 4, y: middle, text: String(low) }], { ink: "soft", align: "right" }),
    words("scale-high", [{ x: x + BAR_WIDTH + 4, y: middle, text: `${high}` }], { ink: "soft" }),
    words("scale-unit", [{ x: x + BAR_WIDTH + 28, y: -36, text: heat.reference }], {
      ink: "soft",
      align: "right",
    }),
  ];
}
