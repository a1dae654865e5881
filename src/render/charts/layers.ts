import type { Data, Mark } from "vega";
import { C, FONT, type InkName, SIZE } from "../theme.js";

/** One mark with the values it draws. `x` and `y` of values are in the panel's data units unless said. */
export interface Layer {
  readonly data: Data;
  readonly mark: Mark;
}

type Values = readonly object[];

/** A layer's `name` becomes a class in the SVG: page script and style sheet find it by that. */
function layer(name: string, values: Values, mark: object): Layer {
  const id = `${name}-values`;
  return {
    data: { name: id, values: values as object[] },
    mark: { name, from: { data: id }, ...mark } as Mark,
  };
}

const X = { scale: "x", field: "x" };
const Y = { scale: "y", field: "y" };

export interface LineStyle {
  readonly ink: InkName;
  readonly width?: number;
  readonly dash?: readonly number[];
  readonly opacity?: number;
}

function stroke({ ink, width = 1.5, dash, opacity = 1 }: LineStyle): object {
  return {
    stroke: { value: C[ink] },
    strokeWidth: { value: width },
    ...(dash ? { strokeDash: { value: dash } } : {}),
    ...(opacity < 1 ? { strokeOpacity: { value: opacity } } : {}),
  };
}

/** A line through points `{x, y}`; a point whose y is not finite breaks it. */
export function line(name: string, values: Values, style: LineStyle): Layer {
  return layer(name, values, {
    type: "line",
    encode: {
      enter: {
        x: X,
        y: Y,
        ...stroke(style),
        strokeJoin: { value: "round" },
        defined: { signal: "isFinite(datum.y) && datum.y !== null" },
      },
    },
  });
}

/** An area between `y` and `y2` over `x`. */
export function band(name: string, values: Values, ink: InkName): Layer {
  return layer(name, values, {
    type: "area",
    encode: {
      enter: {
        x: X,
        y: Y,
        y2: { scale: "y", field: "y2" },
        fill: { value: C[ink] },
        fillOpacity: { value: 0.55 },
        defined: { signal: "isFinite(datum.y) && isFinite(datum.y2)" },
      },
    },
  });
}

/** Boxes: `{x, x2}` in data units over the whole height, or also `{y, y2}` in data units. */
export function boxes(
  name: string,
  values: Values,
  style: { ink: InkName; height?: number; opacity?: number; corner?: number; outline?: InkName },
): Layer {
  const vertical =
    style.height === undefined
      ? { y: { scale: "y", field: "y" }, y2: { scale: "y", field: "y2" } }
      : { y: { value: 0 }, height: { value: style.height } };
  return layer(name, values, {
    type: "rect",
    encode: {
      enter: {
        x: X,
        x2: { scale: "x", field: "x2" },
        ...vertical,
        fill: { value: C[style.ink] },
        fillOpacity: { value: style.opacity ?? 1 },
        cornerRadius: { value: style.corner ?? 0 },
        ...(style.outline ? { stroke: { value: C[style.outline] } } : {}),
      },
    },
  });
}

/** Lines across a panel: vertical ones from `{x}`, level ones from `{y}`. */
export function crossLines(
  name: string,
  values: Values,
  style: LineStyle & { along: "x" | "y"; length: number },
): Layer {
  const at =
    style.along === "x"
      ? { x: X, y: { value: 0 }, y2: { value: style.length } }
      : { y: Y, x: { value: 0 }, x2: { value: style.length } };
  return layer(name, values, { type: "rule", encode: { enter: { ...at, ...stroke(style) } } });
}

/** Straight pieces `{x, y, x2, y2}` in the drawing's units: leaders, whiskers. */
export function pieces(name: string, values: Values, style: LineStyle): Layer {
  const field = (f: string): object => ({ field: f });
  return layer(name, values, {
    type: "rule",
    encode: { enter: { x: field("x"), y: field("y"), x2: field("x2"), y2: field("y2"), ...stroke(style) } },
  });
}

/** One path in the drawing's units. */
export function path(name: string, d: string, style: LineStyle): Layer {
  return layer(name, [{ d }], {
    type: "path",
    encode: { enter: { path: { field: "d" }, ...stroke(style) } },
  });
}

/** Signs at `{x, y}` in the drawing's units (`pixels`) or in data units. */
export function signs(
  name: string,
  values: Values,
  style: {
    ink: InkName;
    shape: string;
    size?: number;
    pixels?: boolean;
    hollow?: boolean;
    outline?: InkName;
  },
): Layer {
  return layer(name, values, {
    type: "symbol",
    encode: {
      enter: {
        x: style.pixels ? { field: "x" } : X,
        y: style.pixels ? { field: "y" } : Y,
        shape: { value: style.shape },
        size: { value: style.size ?? 70 },
        fill: { value: style.hollow ? C.plot : C[style.ink] },
        stroke: { value: C[style.outline ?? style.ink] },
        strokeWidth: { value: 1.4 },
      },
    },
  });
}

export interface TextStyle {
  readonly ink: InkName;
  readonly align?: "left" | "center" | "right";
  readonly size?: number;
  readonly bold?: boolean;
  readonly baseline?: "top" | "middle" | "alphabetic" | "bottom";
}

/** Words at `{x, y, text}` in the drawing's units. */
export function words(name: string, values: Values, style: TextStyle): Layer {
  return layer(name, values, {
    type: "text",
    encode: {
      enter: {
        x: { field: "x" },
        y: { field: "y" },
        text: { field: "text" },
        fill: { value: C[style.ink] },
        font: { value: FONT },
        fontSize: { value: style.size ?? SIZE.label },
        ...(style.bold ? { fontWeight: { value: "bold" } } : {}),
        align: { value: style.align ?? "left" },
        baseline: { value: style.baseline ?? "middle" },
      },
    },
  });
}

/** A picture that fills a box of the drawing's units; its pixels stay sharp. */
export function picture(
  name: string,
  url: string,
  box: { x: number; y: number; width: number; height: number },
): Layer {
  return layer(name, [{ url }], {
    type: "image",
    encode: {
      enter: {
        url: { field: "url" },
        x: { value: box.x },
        y: { value: box.y },
        width: { value: box.width },
        height: { value: box.height },
        aspect: { value: false },
        smooth: { value: false },
      },
    },
  });
}
