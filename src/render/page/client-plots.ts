/// <reference lib="dom" />
/// <reference lib="dom.iterable" />
import type { Panel, PanelAxis } from "../charts/chart.js";
import type { Feature } from "../charts/features.js";

/** What the page hands to its script. */
export interface PageData {
  readonly drawings: Readonly<Record<string, readonly Panel[]>>;
  readonly features: readonly Feature[];
}

/** One plot on the page, with the elements that the script moves. */
export interface Plot {
  readonly panel: Panel;
  readonly figure: HTMLElement;
  readonly svg: SVGSVGElement;
  readonly group: SVGGElement | null;
  /** What stretches under zoom. */
  readonly content: SVGGElement | null;
  readonly axis: string | undefined;
  /** Lines of the pointer and of what is pinned: upright and level. */
  readonly lines: Readonly<Record<"cursorX" | "cursorY" | "pinX" | "pinY", SVGLineElement>>;
  readonly ticks: SVGGElement;
  readonly curves: readonly {
    readonly name: string;
    readonly points: readonly (readonly [number, number])[];
  }[];
}

export interface Plots {
  readonly all: readonly Plot[];
  readonly make: <K extends keyof SVGElementTagNameMap>(
    tag: K,
    name: string,
    parent: Element,
  ) => SVGElementTagNameMap[K];
  /** Value at a share of an axis, 0 left or low, 1 right or high. */
  readonly valueAt: (axis: PanelAxis, share: number) => number;
  readonly shareOf: (axis: PanelAxis, value: number) => number;
  readonly short: (value: number) => string;
}

/**
 * Finds every plot of the page. Runs in the browser: its source text is put into the page, so it uses nothing from
 * outside its own body but types.
 */
export function clientPlots(data: PageData): Plots {
  const NS = "http://www.w3.org/2000/svg";
  const make: Plots["make"] = (tag, name, parent) => {
    const element = document.createElementNS(NS, tag);
    element.setAttribute("class", name);
    parent.append(element);
    return element;
  };

  /** Curves keep their numbers in their paths: no second copy of the data is needed. */
  const curvesOf = (plot: Element | null | undefined): Plot["curves"] =>
    [...(plot?.querySelectorAll("[class*=curve-] path, [class*=motor-] path, .throttle path") ?? [])].map(
      (path) => ({
        name: (path.parentElement?.getAttribute("class") ?? "")
          .replace(/^.*(curve-|motor-|throttle)/, (_, lead: string) =>
            lead === "motor-" ? "motor " : lead === "throttle" ? "throttle" : "",
          )
          .replace("dterm", "D-term"),
        points: [...(path.getAttribute("d") ?? "").matchAll(/[ML](-?[\d.e]+),(-?[\d.e]+)/g)].map(
          (m): readonly [number, number] => [Number(m[1]), Number(m[2])],
        ),
      }),
    );

  const plotOf = (panel: Panel, figure: HTMLElement, svg: SVGSVGElement): Plot => {
    const group = svg.querySelector<SVGGElement>(`.panel-${CSS.escape(panel.name)} > g`);
    const plot = group?.querySelector<SVGGElement>(".plot");
    const over = make("g", "over", svg);
    over.setAttribute("transform", `translate(${panel.x},${panel.y})`);
    return {
      panel,
      figure,
      svg,
      group,
      content: plot?.querySelector<SVGGElement>(":scope > g > g") ?? null,
      axis: figure.dataset["axis"] ?? /^(roll|pitch|yaw)$/.exec(panel.name)?.[0],
      ticks: make("g", "ticks", over),
      lines: {
        cursorX: make("line", "cursor", over),
        cursorY: make("line", "cursor", over),
        pinX: make("line", "pin", over),
        pinY: make("line", "pin", over),
      },
      curves: curvesOf(plot),
    };
  };

  const all = [...document.querySelectorAll<HTMLElement>(".draw[data-drawing]")].flatMap((draw) => {
    const svg = draw.querySelector("svg")!;
    const figure = draw.closest("figure")!;
    return (data.drawings[draw.dataset["drawing"]!] ?? []).map((panel) => plotOf(panel, figure, svg));
  });
  return {
    all,
    make,
    valueAt: ({ domain: [a, b], type }, share) =>
      type === "log" ? a * (b / a) ** share : a + (b - a) * share,
    shareOf: ({ domain: [a, b], type }, value) =>
      type === "log" ? Math.log(value / a) / Math.log(b / a) : (value - a) / (b - a),
    short: (value) => (value === 0 ? "0" : String(Number(value.toPrecision(3)))),
  };
}
