/// <reference lib="dom" />
/// <reference lib="dom.iterable" />
import type { PageData, Plot, Plots } from "./client-plots.js";

/** Where one points: values of the plot's two axes; y null when only a place along x is meant. */
export interface Spot {
  readonly plot: Plot;
  readonly x: number;
  readonly y: number | null;
}

/**
 * Says in words what lies under a spot: the value, the level of each curve or of the map's cell, and what it is.
 * Runs in the browser; uses nothing from outside its own body but types.
 */
export function clientReadout(data: PageData, { valueAt, shareOf, short }: Plots): (spot: Spot) => string {
  const levelOn = (points: Plot["curves"][number]["points"], x: number): number | null => {
    for (let i = 1; i < points.length; i++) {
      const [a, b] = [points[i - 1]!, points[i]!];
      if (x < a[0] || x > b[0]) continue;
      return b[0] === a[0] ? b[1] : a[1] + ((b[1] - a[1]) * (x - a[0])) / (b[0] - a[0]);
    }
    return null;
  };

  /** Pixels of a picture in a drawing, read once; null until the browser has decoded it. */
  const pictures = new Map<SVGImageElement, ImageData | null>();
  const pixelsOf = (image: SVGImageElement | null | undefined): ImageData | null => {
    if (!image) return null;
    const known = pictures.get(image);
    if (known !== undefined) return known;
    pictures.set(image, null);
    const source = new Image();
    source.onload = () => {
      const canvas = document.createElement("canvas");
      [canvas.width, canvas.height] = [source.naturalWidth, source.naturalHeight];
      const paper = canvas.getContext("2d");
      if (!paper) return;
      paper.drawImage(source, 0, 0);
      pictures.set(image, paper.getImageData(0, 0, canvas.width, canvas.height));
    };
    source.src = image.getAttribute("href") ?? image.getAttribute("xlink:href") ?? "";
    return null;
  };

  /** The level of a map's cell: its colour looked up on the scale bar. */
  const heatLevel = (plot: Plot, x: number, y: number): number | null => {
    const cells = pixelsOf(plot.group?.querySelector<SVGImageElement>(".heat image"));
    const scale = pixelsOf(plot.group?.querySelector<SVGImageElement>(".scale-bar image"));
    if (!cells || !scale || !plot.panel.colours) return null;
    const index = (share: number, n: number): number => Math.min(n - 1, Math.max(0, Math.floor(share * n)));
    const at = (index(1 - y, cells.height) * cells.width + index(x, cells.width)) * 4;
    if (cells.data[at + 3] === 0) return null;
    let [best, least] = [0, Number.POSITIVE_INFINITY];
    for (let i = 0; i < scale.width; i++) {
      const away = [0, 1, 2].reduce((sum, c) => sum + (cells.data[at + c]! - scale.data[i * 4 + c]!) ** 2, 0);
      if (away < least) [best, least] = [i, away];
    }
    const [low, high] = plot.panel.colours.domain;
    return low + ((high - low) * best) / (scale.width - 1);
  };

  const whatIs = (hz: number, axis: string | undefined): string[] =>
    data.features
      .filter((f) => hz >= f.fromHz * 0.99 && hz <= f.toHz * 1.01)
      .filter(
        (f) => axis === undefined || f.axes.length === 0 || (f.axes as readonly string[]).includes(axis),
      )
      .slice(0, 3)
      .map((f) => f.label);

  return ({ plot, x, y }) => {
    const { xAxis, yAxis, colours, width, height } = plot.panel;
    const parts = [`${xAxis.title} ${short(x)} ${xAxis.unit}`];
    if (yAxis && plot.curves.length > 0) {
      for (const curve of plot.curves) {
        const at = levelOn(curve.points, shareOf(xAxis, x) * width);
        if (at !== null) parts.push(`${curve.name} ${short(valueAt(yAxis, 1 - at / height))} ${yAxis.unit}`);
      }
    } else if (yAxis && y !== null) parts.push(`${yAxis.title} ${short(y)} ${yAxis.unit}`);
    const level =
      colours && yAxis && y !== null ? heatLevel(plot, shareOf(xAxis, x), shareOf(yAxis, y)) : null;
    if (level !== null) parts.push(`${short(level)} ${colours!.reference}`);
    const hz = xAxis.title === "frequency" ? x : yAxis?.title === "frequency" ? y : null;
    const what = hz === null ? [] : whatIs(hz, plot.axis);
    return parts.join(" · ") + (what.length > 0 ? ` — ${what.join("; ")}` : "");
  };
}
