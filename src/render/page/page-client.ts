/// <reference lib="dom" />
/// <reference lib="dom.iterable" />
import type { clientPlots, PageData, Plot } from "./client-plots.js";
import type { clientReadout, Spot } from "./client-readout.js";
import type { clientZoom } from "./client-zoom.js";

/** The other parts of the script, handed in because a function's source text cannot import. */
export interface ClientParts {
  readonly clientPlots: typeof clientPlots;
  readonly clientReadout: typeof clientReadout;
  readonly clientZoom: typeof clientZoom;
}

/**
 * What the page can do beyond being looked at; runs in the browser, never here.
 *
 * - pointing (or the arrow keys on a chart that has the focus) reads out where one is, the level there, and what it is;
 * - charts share the pointer's line, a pinned line (click, Enter, or a mode of the table; Escape takes it away) and
 *   the zoom (drag, buttons, + and −, 0);
 * - buttons show and hide axes and signals.
 */
export function pageClient(parts: ClientParts): void {
  const data = JSON.parse(document.getElementById("chart-data")!.textContent!) as PageData;
  const plots = parts.clientPlots(data);
  const { all, make, valueAt, shareOf } = plots;
  const describe = parts.clientReadout(data, plots);
  /** Values by link, as pointed at and as pinned. */
  const pointed = new Map<string, number>();
  const pinned = new Map<string, number>();
  const zoom = parts.clientZoom(data, plots, () => redraw());
  /** Where each chart's pointer is, as shares of its plot: 0 left, 0 low. */
  const places = new Map<HTMLElement, { x: number; y: number }>();
  const placeIn = (figure: HTMLElement): { x: number; y: number } => places.get(figure) ?? { x: 0.5, y: 0.5 };

  const linkX = (plot: Plot): string => plot.panel.xAxis.link ?? plot.panel.name;
  const linkY = (plot: Plot): string | null => plot.panel.yAxis?.link ?? null;

  /** Draws the pointer's and the pinned lines wherever their axis shows. */
  function redraw(): void {
    for (const plot of all) {
      const { width, height, yAxis } = plot.panel;
      const [from, to] = zoom.viewOf(plot);
      for (const [values, upright, level] of [
        [pointed, plot.lines.cursorX, plot.lines.cursorY],
        [pinned, plot.lines.pinX, plot.lines.pinY],
      ] as const) {
        const x = values.get(linkX(plot));
        const along = x === undefined ? -1 : (shareOf(plot.panel.xAxis, x) - from) / (to - from);
        put(upright, along < 0 || along > 1 ? null : [along * width, 0, along * width, height]);
        const link = linkY(plot);
        const y = link === null ? undefined : values.get(link);
        const up = y === undefined || yAxis === null ? -1 : shareOf(yAxis, y);
        put(level, up < 0 || up > 1 ? null : [0, (1 - up) * height, width, (1 - up) * height]);
      }
    }
  }

  function put(line: SVGLineElement, ends: readonly [number, number, number, number] | null): void {
    line.classList.toggle("gone", ends === null);
    for (const [i, name] of ["x1", "y1", "x2", "y2"].entries())
      line.setAttribute(name, String(ends?.[i] ?? 0));
  }

  /** The spot at shares of a plot as it shows. */
  function spotAt(plot: Plot, at: { x: number; y: number }): Spot {
    const [from, to] = zoom.viewOf(plot);
    const { xAxis, yAxis } = plot.panel;
    return {
      plot,
      x: valueAt(xAxis, from + at.x * (to - from)),
      y: yAxis === null ? null : valueAt(yAxis, at.y),
    };
  }

  function note(values: Map<string, number>, { plot, x, y }: Spot): void {
    values.clear();
    values.set(linkX(plot), x);
    const link = linkY(plot);
    if (link !== null && y !== null && link !== linkX(plot)) values.set(link, y);
    redraw();
  }

  function point(plot: Plot, at: { x: number; y: number }): void {
    const spot = spotAt(plot, at);
    places.set(plot.figure, at);
    plot.figure.querySelector(".readout")!.textContent = describe(spot);
    note(pointed, spot);
  }

  /** Plot and shares under the pointer; `near` keeps to one plot even outside it. */
  function under(event: MouseEvent, near?: Plot): { plot: Plot; x: number; y: number } | null {
    const svg = near?.svg ?? (event.target as Element).closest?.("svg");
    if (!svg) return null;
    const box = svg.getBoundingClientRect();
    const view = svg.viewBox.baseVal;
    const px = ((event.clientX - box.left) / box.width) * view.width;
    const py = ((event.clientY - box.top) / box.height) * view.height;
    for (const plot of near ? [near] : all) {
      const { panel } = plot;
      const [x, y] = [(px - panel.x) / panel.width, 1 - (py - panel.y) / panel.height];
      if (near || (plot.svg === svg && x >= 0 && x <= 1 && y >= 0 && y <= 1)) return { plot, x, y };
    }
    return null;
  }

  /** A drag with the mouse marks the part to zoom into. */
  let drag: { plot: Plot; from: number; mark: SVGRectElement } | null = null;
  let dragged = false;
  addEventListener("pointerdown", (event) => {
    dragged = false;
    const at = event.pointerType === "mouse" && event.button === 0 ? under(event) : null;
    if (!at) return;
    const mark = make("rect", "picked", at.plot.ticks.parentElement!);
    mark.setAttribute("height", String(at.plot.panel.height));
    drag = { plot: at.plot, from: at.x, mark };
  });
  addEventListener("pointermove", (event) => {
    const at = under(event, drag?.plot);
    if (!at) return;
    const x = Math.min(1, Math.max(0, at.x));
    if (drag) {
      event.preventDefault();
      drag.mark.setAttribute("x", String(Math.min(drag.from, x) * at.plot.panel.width));
      drag.mark.setAttribute("width", String(Math.abs(x - drag.from) * at.plot.panel.width));
    }
    point(at.plot, { x, y: Math.min(1, Math.max(0, at.y)) });
  });
  addEventListener("pointerup", (event) => {
    if (!drag) return;
    const { plot, from, mark } = drag;
    const x = Math.min(1, Math.max(0, under(event, plot)!.x));
    drag = null;
    mark.remove();
    if (Math.abs(x - from) < 0.03) return;
    dragged = true;
    const [a, b] = zoom.viewOf(plot);
    zoom.set(plot, a + Math.min(from, x) * (b - a), a + Math.max(from, x) * (b - a));
  });
  addEventListener("click", (event) => {
    const at = dragged ? null : under(event);
    if (at) note(pinned, spotAt(at.plot, at));
  });

  /** The plot of a figure that shows: wide or narrow drawing, first panel. */
  const shownPlot = (figure: HTMLElement): Plot | undefined =>
    all.find((p) => p.figure === figure && p.svg.getBoundingClientRect().width > 0);

  addEventListener("keydown", (event) => {
    const figure = event.target as HTMLElement;
    const plot = figure.tagName === "FIGURE" ? shownPlot(figure) : undefined;
    if (!plot || event.ctrlKey || event.metaKey || event.altKey) return;
    const at = placeIn(figure);
    const step = event.shiftKey ? 0.1 : 0.01;
    const held = (v: number): number => Math.min(1, Math.max(0, v));
    const moves: Readonly<Record<string, () => void>> = {
      ArrowLeft: () => point(plot, { ...at, x: held(at.x - step) }),
      ArrowRight: () => point(plot, { ...at, x: held(at.x + step) }),
      ArrowUp: () => point(plot, { ...at, y: held(at.y + step) }),
      ArrowDown: () => point(plot, { ...at, y: held(at.y - step) }),
      Enter: () => note(pinned, spotAt(plot, at)),
      Escape: () => {
        pinned.clear();
        redraw();
      },
      "+": () => zoom.by(plot, 0.5, at.x),
      "-": () => zoom.by(plot, 2, at.x),
      "0": () => zoom.set(plot, 0, 1),
    };
    const move = moves[event.key];
    if (!move) return;
    event.preventDefault();
    move();
  });

  const button = (text: string, act: (self: HTMLButtonElement) => void): HTMLButtonElement => {
    const element = document.createElement("button");
    element.type = "button";
    element.textContent = text;
    element.addEventListener("click", () => act(element));
    return element;
  };

  /** Tools and a line to read from, under each chart. */
  function prepare(figure: HTMLElement, first: boolean): void {
    figure.tabIndex = 0;
    const name = figure.querySelector("figcaption")?.textContent ?? "";
    const tools = document.createElement("div");
    tools.className = "tools";
    const act = (factor: number) => () => {
      const plot = shownPlot(figure);
      if (plot) factor === 0 ? zoom.set(plot, 0, 1) : zoom.by(plot, factor, placeIn(figure).x);
    };
    for (const [sign, label, run] of [
      ["+", "Zoom in", act(0.5)],
      ["−", "Zoom out", act(2)],
      ["↔", "Show all", act(0)],
      ["⤢", "Larger or smaller", () => figure.classList.toggle("enlarged")],
    ] as const) {
      if (sign === "⤢" && !figure.closest(".grid")) continue;
      const tool = button(sign, run);
      tool.setAttribute("aria-label", `${label}: ${name}`);
      tools.append(tool);
    }
    const readout = document.createElement("output");
    readout.className = "readout";
    if (first)
      readout.textContent =
        "Point at a chart, or focus it and use the arrow keys; drag to zoom, click to pin.";
    figure.querySelector("details")!.before(tools, readout);
  }
  for (const [i, figure] of [...new Set(all.map((p) => p.figure))].entries()) prepare(figure, i === 0);

  /** A frequency in a table pins itself in every chart. */
  for (const cell of document.querySelectorAll<HTMLElement>("[data-hz]")) {
    const pin = button(cell.textContent ?? "", () => {
      pinned.clear();
      pinned.set("frequency", Number(cell.dataset["hz"]));
      redraw();
    });
    pin.title = "Mark this frequency in all charts";
    cell.replaceChildren(pin);
  }

  /** Buttons that show and hide axes and signals, above the charts. */
  const bar = document.createElement("div");
  bar.className = "bar";
  bar.setAttribute("role", "group");
  bar.setAttribute("aria-label", "Show axes and signals");
  for (const [title, names] of [
    ["Axes", ["roll", "pitch", "yaw"]],
    ["Signals", ["raw", "filtered", "dterm"]],
  ] as const) {
    const words = document.createElement("span");
    words.textContent = title;
    bar.append(words);
    for (const name of names) {
      const toggle = button(name === "dterm" ? "D-term" : name, (self) => {
        const hidden = document.body.classList.toggle(`hide-${name}`);
        self.setAttribute("aria-pressed", String(!hidden));
      });
      toggle.setAttribute("aria-pressed", "true");
      bar.append(toggle);
    }
  }
  document.querySelector("#charts h2")?.after(bar);
  redraw();
}
