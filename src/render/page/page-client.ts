/// <reference lib="dom" />
/// <reference lib="dom.iterable" />
import type { Panel, PanelAxis } from "../charts/chart.js";
import type { Feature } from "../charts/features.js";

/**
 * What the page can do beyond being looked at; runs in the browser, never here. Its source text is put into the page,
 * so it may use nothing from outside its own body but types.
 *
 * - pointing (or the arrow keys on a chart that has the focus) reads out where one is, the level there, and what it is;
 * - charts with the same axis share the pointer's line, a pinned line (click, Enter) and the zoom (buttons, + and −, 0);
 * - buttons show and hide axes and signals.
 */
export function pageClient(): void {
  const data = JSON.parse(document.getElementById("chart-data")!.textContent!) as {
    drawings: Record<string, Panel[]>;
    features: Feature[];
  };
  const NS = "http://www.w3.org/2000/svg";
  interface Plot {
    readonly panel: Panel;
    readonly figure: HTMLElement;
    readonly svg: SVGSVGElement;
    readonly group: SVGGElement | null;
    readonly content: SVGGElement | null;
    readonly axis: string | undefined;
    readonly cursor: SVGLineElement;
    readonly pin: SVGLineElement;
    readonly ticks: SVGGElement;
    readonly curves: { name: string; points: [number, number][] }[];
  }
  /** Per link: the zoomed share of the axis, 0..1. */
  const views = new Map<string, [number, number]>();
  const plots: Plot[] = [];

  const make = <K extends keyof SVGElementTagNameMap>(
    tag: K,
    name: string,
    parent: Element,
  ): SVGElementTagNameMap[K] => {
    const element = document.createElementNS(NS, tag);
    element.setAttribute("class", name);
    parent.append(element);
    return element;
  };
  const span = (axis: PanelAxis): number => axis.range[1] - axis.range[0];
  const valueAt = (axis: PanelAxis, share: number): number => {
    const [a, b] = axis.domain;
    return axis.type === "log" ? a * (b / a) ** share : a + (b - a) * share;
  };
  const shareOf = (axis: PanelAxis, value: number): number => {
    const [a, b] = axis.domain;
    return axis.type === "log" ? Math.log(value / a) / Math.log(b / a) : (value - a) / (b - a);
  };
  const viewOf = (plot: Plot): [number, number] => views.get(plot.panel.xAxis.link ?? "") ?? [0, 1];
  const short = (value: number): string => (value === 0 ? "0" : String(Number(value.toPrecision(3))));

  for (const draw of document.querySelectorAll<HTMLElement>(".draw[data-drawing]")) {
    const svg = draw.querySelector("svg")!;
    const figure = draw.closest("figure")!;
    for (const panel of data.drawings[draw.dataset["drawing"]!] ?? []) {
      const group = svg.querySelector<SVGGElement>(`.panel-${CSS.escape(panel.name)} > g`);
      const plot = group?.querySelector<SVGGElement>(".plot") ?? null;
      const layer = make("g", "over", svg);
      layer.setAttribute("transform", `translate(${panel.x},${panel.y})`);
      const curves = [
        ...(plot?.querySelectorAll<SVGPathElement>(
          "[class*=curve-] path, [class*=motor-] path, .throttle path",
        ) ?? []),
      ].map((path) => ({
        name: (path.parentElement?.getAttribute("class") ?? "").replace(
          /^.*(curve-|motor-|throttle)/,
          (_, lead: string) => (lead === "motor-" ? "motor " : lead === "throttle" ? "throttle" : ""),
        ),
        points: [...(path.getAttribute("d") ?? "").matchAll(/[ML](-?[\d.e]+),(-?[\d.e]+)/g)].map(
          (m): [number, number] => [Number(m[1]), Number(m[2])],
        ),
      }));
      plots.push({
        panel,
        figure,
        svg,
        group,
        content: plot?.querySelector<SVGGElement>(":scope > g > g") ?? null,
        axis: figure.dataset["axis"] ?? (/^(roll|pitch|yaw)$/.exec(panel.name)?.[0] as string | undefined),
        ticks: make("g", "ticks", layer),
        cursor: make("line", "cursor", layer),
        pin: make("line", "pin", layer),
        curves,
      });
    }
    if (!figure.querySelector(".readout")) prepare(figure);
  }

  function prepare(figure: HTMLElement): void {
    figure.tabIndex = 0;
    const tools = document.createElement("div");
    tools.className = "tools";
    for (const [sign, label, act] of [
      ["+", "Zoom in", () => zoom(figure, 0.5)],
      ["−", "Zoom out", () => zoom(figure, 2)],
      ["⟲", "Show all", () => zoom(figure, 0)],
    ] as const) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = sign;
      button.setAttribute("aria-label", label);
      button.addEventListener("click", act);
      tools.append(button);
    }
    const readout = document.createElement("output");
    readout.className = "readout";
    readout.textContent = "Point at the chart, or use the arrow keys.";
    figure.querySelector("details")!.before(tools, readout);
  }

  /** Where the pointer is: plot and shares of its two axes, as drawn (before zoom is undone). */
  function under(event: PointerEvent): { plot: Plot; x: number; y: number } | null {
    const svg = (event.target as Element).closest("svg");
    if (!svg) return null;
    const box = svg.getBoundingClientRect();
    const view = svg.viewBox.baseVal;
    const px = ((event.clientX - box.left) / box.width) * view.width;
    const py = ((event.clientY - box.top) / box.height) * view.height;
    for (const plot of plots) {
      const { panel } = plot;
      const [x, y] = [(px - panel.x) / panel.width, (py - panel.y) / panel.height];
      if (plot.svg === svg && x >= 0 && x <= 1 && y >= 0 && y <= 1) return { plot, x, y };
    }
    return null;
  }

  function pointAt(plot: Plot, x: number, y: number | null): void {
    const [from, to] = viewOf(plot);
    const value = valueAt(plot.panel.xAxis, from + x * (to - from));
    for (const other of plots) {
      const same =
        other === plot ||
        (other.panel.xAxis.link !== null && other.panel.xAxis.link === plot.panel.xAxis.link);
      place(other.cursor, other, same ? value : null);
    }
    plot.figure.querySelector(".readout")!.textContent = describe(plot, value, y);
    plot.figure.dataset["at"] = String(x);
  }

  function place(line: SVGLineElement, plot: Plot, value: number | null): void {
    const [from, to] = viewOf(plot);
    const share = value === null ? -1 : (shareOf(plot.panel.xAxis, value) - from) / (to - from);
    const x = share >= 0 && share <= 1 ? share * plot.panel.width : -9999;
    for (const [name, at] of [
      ["x1", x],
      ["x2", x],
      ["y1", 0],
      ["y2", plot.panel.height],
    ] as const)
      line.setAttribute(name, String(at));
  }

  function describe(plot: Plot, value: number, y: number | null): string {
    const { xAxis, yAxis, colours } = plot.panel;
    const parts = [`${xAxis.title} ${short(value)} ${xAxis.unit}`];
    const height = y === null || yAxis === null ? null : valueAt(yAxis, 1 - y);
    if (yAxis !== null && plot.curves.length > 0) {
      for (const curve of plot.curves) {
        const level = levelOn(curve.points, shareOf(xAxis, value) * span(xAxis));
        if (level !== null)
          parts.push(`${curve.name} ${short(valueAt(yAxis, 1 - level / plot.panel.height))} ${yAxis.unit}`);
      }
    } else if (height !== null && yAxis !== null) parts.push(`${yAxis.title} ${short(height)} ${yAxis.unit}`);
    if (colours && y !== null) {
      const [from, to] = viewOf(plot);
      const level = heatLevel(plot, shareOf(xAxis, value), y);
      void [from, to];
      if (level !== null) parts.push(`${short(level)} ${colours.reference}`);
    }
    const hz =
      xAxis.link === "frequency" || (xAxis.unit === "Hz" && xAxis.title === "frequency")
        ? value
        : yAxis?.title === "frequency"
          ? height
          : null;
    const what = hz === null ? [] : whatIs(hz, plot.axis);
    return parts.join(" · ") + (what.length > 0 ? ` — ${what.join("; ")}` : "");
  }

  function levelOn(points: readonly [number, number][], x: number): number | null {
    for (let i = 1; i < points.length; i++) {
      const [a, b] = [points[i - 1]!, points[i]!];
      if (x < a[0] || x > b[0]) continue;
      return b[0] === a[0] ? b[1] : a[1] + ((b[1] - a[1]) * (x - a[0])) / (b[0] - a[0]);
    }
    return null;
  }

  function whatIs(hz: number, axis: string | undefined): string[] {
    const near = hz * 0.01;
    return data.features
      .filter((f) => hz >= f.fromHz - near && hz <= f.toHz + near)
      .filter(
        (f) => axis === undefined || f.axes.length === 0 || (f.axes as readonly string[]).includes(axis),
      )
      .slice(0, 3)
      .map((f) => f.label);
  }

  /** Pixels of a picture in a drawing, read once. */
  const pictures = new Map<SVGImageElement, ImageData | null>();
  function pixelsOf(image: SVGImageElement): ImageData | null {
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
  }

  /** The level of a heat map's cell: its colour looked up on the scale bar. */
  function heatLevel(plot: Plot, x: number, y: number): number | null {
    const image = plot.group?.querySelector<SVGImageElement>(".heat image");
    const bar = plot.group?.querySelector<SVGImageElement>(".scale-bar image");
    const cells = image ? pixelsOf(image) : null;
    const scale = bar ? pixelsOf(bar) : null;
    if (!cells || !scale || !plot.panel.colours) return null;
    const column = Math.min(cells.width - 1, Math.floor(x * cells.width));
    const at = (Math.min(cells.height - 1, Math.floor(y * cells.height)) * cells.width + column) * 4;
    if (cells.data[at + 3] === 0) return null;
    let best = 0;
    let least = Number.POSITIVE_INFINITY;
    for (let i = 0; i < scale.width; i++) {
      const away = [0, 1, 2].reduce((sum, c) => sum + (cells.data[at + c]! - scale.data[i * 4 + c]!) ** 2, 0);
      if (away < least) [best, least] = [i, away];
    }
    const [low, high] = plot.panel.colours.domain;
    return low + ((high - low) * best) / (scale.width - 1);
  }

  function zoom(figure: HTMLElement, factor: number): void {
    const plot = plots.find((p) => p.figure === figure && p.svg.getBoundingClientRect().width > 0);
    if (!plot) return;
    const link = plot.panel.xAxis.link ?? "";
    const [from, to] = viewOf(plot);
    const centre = from + Number(figure.dataset["at"] ?? 0.5) * (to - from);
    const width = Math.min(1, (to - from) * factor);
    const start =
      factor === 0 || width >= 1
        ? 0
        : Math.min(1 - width, Math.max(0, centre - Number(figure.dataset["at"] ?? 0.5) * width));
    views.set(link, factor === 0 || width >= 1 ? [0, 1] : [start, start + Math.max(width, 0.01)]);
    for (const other of plots)
      if (other === plot || (link !== "" && other.panel.xAxis.link === link)) show(other);
  }

  function show(plot: Plot): void {
    const [from, to] = viewOf(plot);
    const whole = from === 0 && to === 1;
    const stretch = 1 / (to - from);
    plot.content?.setAttribute(
      "transform",
      whole ? "" : `matrix(${stretch},0,0,1,${-from * stretch * plot.panel.width},0)`,
    );
    plot.svg.classList.toggle("zoomed", !whole);
    const axis = plot.group?.querySelector(".role-axis");
    axis?.classList.toggle("gone", !whole);
    plot.ticks.replaceChildren();
    place(plot.cursor, plot, null);
    if (whole) return;
    for (let i = 0; i <= 4; i++) {
      const x = (i / 4) * plot.panel.width;
      const text = make("text", "ticktext", plot.ticks);
      text.setAttribute("x", String(x));
      text.setAttribute("y", String(plot.panel.height + 16));
      text.setAttribute("text-anchor", "middle");
      text.textContent = short(valueAt(plot.panel.xAxis, from + (i / 4) * (to - from)));
    }
  }

  function pinAt(plot: Plot, x: number): void {
    const [from, to] = viewOf(plot);
    const value = valueAt(plot.panel.xAxis, from + x * (to - from));
    for (const other of plots) {
      const same =
        other === plot ||
        (other.panel.xAxis.link !== null && other.panel.xAxis.link === plot.panel.xAxis.link);
      if (same) place(other.pin, other, value);
    }
  }

  addEventListener("pointermove", (event) => {
    const at = under(event);
    if (at) pointAt(at.plot, at.x, at.y);
  });
  addEventListener("click", (event) => {
    const at = under(event as unknown as PointerEvent);
    if (at) pinAt(at.plot, at.x);
  });
  addEventListener("keydown", (event) => {
    const figure = event.target as HTMLElement;
    if (figure.tagName !== "FIGURE") return;
    const plot = plots.find((p) => p.figure === figure && p.svg.getBoundingClientRect().width > 0);
    if (!plot) return;
    const at = Number(figure.dataset["at"] ?? 0.5);
    const step = event.shiftKey ? 0.1 : 0.01;
    const moves: Record<string, () => void> = {
      ArrowLeft: () => pointAt(plot, Math.max(0, at - step), null),
      ArrowRight: () => pointAt(plot, Math.min(1, at + step), null),
      Enter: () => pinAt(plot, at),
      "+": () => zoom(figure, 0.5),
      "-": () => zoom(figure, 2),
      "0": () => zoom(figure, 0),
    };
    const move = moves[event.key];
    if (!move) return;
    event.preventDefault();
    move();
  });

  /** Buttons that show and hide axes and signals, above the charts. */
  const charts = document.getElementById("charts");
  if (charts) {
    const bar = document.createElement("div");
    bar.className = "bar";
    bar.setAttribute("role", "group");
    bar.setAttribute("aria-label", "Show axes and signals");
    for (const name of ["roll", "pitch", "yaw", "raw", "filtered", "dterm"]) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = name === "dterm" ? "D-term" : name;
      button.setAttribute("aria-pressed", "true");
      button.addEventListener("click", () => {
        const hidden = document.body.classList.toggle(`hide-${name}`);
        button.setAttribute("aria-pressed", String(!hidden));
      });
      bar.append(button);
    }
    charts.querySelector("h2")!.after(bar);
  }
}
