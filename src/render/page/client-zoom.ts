/// <reference lib="dom" />
/// <reference lib="dom.iterable" />
import type { PageData, Plot, Plots } from "./client-plots.js";

/** The part of each linked axis that shows, and how to change it. */
export interface Zoom {
  /** Shares of the whole axis at a plot's left and right end. */
  readonly viewOf: (plot: Plot) => readonly [number, number];
  readonly set: (plot: Plot, from: number, to: number) => void;
  /** Zooms by a factor about a place in the plot (0 left, 1 right). */
  readonly by: (plot: Plot, factor: number, about: number) => void;
}

/**
 * Zoom along the horizontal axis; charts that share an axis zoom together. Runs in the browser; uses nothing from
 * outside its own body but types.
 */
export function clientZoom(data: PageData, plots: Plots, changed: () => void): Zoom {
  const { all, make, valueAt, shareOf, short } = plots;
  const views = new Map<string, readonly [number, number]>();
  /** Plots with no shared axis zoom alone. */
  const linkOf = (plot: Plot): string => plot.panel.xAxis.link ?? plot.panel.name;
  const viewOf = (plot: Plot): readonly [number, number] => views.get(linkOf(plot)) ?? [0, 1];
  const LEAST = 0.004;

  /** Signs and words keep their shape while what they stand on is stretched. */
  const keepShape = (plot: Plot, stretch: number): void => {
    for (const item of plot.content?.querySelectorAll<SVGElement>(".mark-symbol > *, .mark-text > *") ?? []) {
      item.dataset["as"] ??= item.getAttribute("transform") ?? "";
      item.setAttribute(
        "transform",
        stretch === 1 ? item.dataset["as"] : `${item.dataset["as"]} scale(${1 / stretch},1)`,
      );
    }
  };

  const word = (plot: Plot, at: { x: number; y: number; text: string; name: string }): void => {
    const text = make("text", at.name, plot.ticks);
    text.setAttribute("x", String(at.x));
    text.setAttribute("y", String(at.y));
    text.setAttribute("text-anchor", "middle");
    text.textContent = at.text;
  };

  /** Tick labels of the part that shows, and the modes in it by name. */
  const label = (plot: Plot, from: number, to: number): void => {
    const { xAxis, width, height } = plot.panel;
    const labelled = plot.group?.querySelector(".axis-x .axis-label text");
    for (let i = 0; labelled && i <= 4; i++) {
      const value = valueAt(xAxis, from + (i / 4) * (to - from));
      word(plot, {
        x: (i / 4) * width,
        y: height + 16,
        text: String(Number(value.toPrecision(4))),
        name: "ticktext",
      });
    }
    if (xAxis.title !== "frequency") return;
    let free = 0;
    for (const f of data.features) {
      if (f.kind !== "mode" || (plot.axis && !(f.axes as readonly string[]).includes(plot.axis))) continue;
      const middle = (f.fromHz + f.toHz) / 2;
      const x = ((shareOf(xAxis, middle) - from) / (to - from)) * width;
      if (x < free || x > width - 20) continue;
      word(plot, { x: Math.max(24, x), y: 12, text: `${short(middle)} Hz`, name: "ticktext modetext" });
      free = x + 56;
    }
  };

  const show = (plot: Plot): void => {
    const [from, to] = viewOf(plot);
    const whole = from === 0 && to === 1;
    const stretch = 1 / (to - from);
    plot.content?.setAttribute(
      "transform",
      whole ? "" : `matrix(${stretch},0,0,1,${-from * stretch * plot.panel.width},0)`,
    );
    keepShape(plot, stretch);
    plot.svg.classList.toggle("zoomed", !whole);
    plot.group?.querySelector(".axis-x")?.classList.toggle("gone", !whole);
    plot.ticks.replaceChildren();
    if (!whole) label(plot, from, to);
  };

  const set: Zoom["set"] = (plot, from, to) => {
    const width = Math.min(1, Math.max(LEAST, to - from));
    const start = Math.min(1 - width, Math.max(0, from));
    if (width > 0.999) views.delete(linkOf(plot));
    else views.set(linkOf(plot), [start, start + width]);
    for (const other of all) if (linkOf(other) === linkOf(plot)) show(other);
    changed();
  };
  return {
    viewOf,
    set,
    by: (plot, factor, about) => {
      const [from, to] = viewOf(plot);
      const centre = from + about * (to - from);
      const width = (to - from) * factor;
      set(plot, centre - about * width, centre + (1 - about) * width);
    },
  };
}
