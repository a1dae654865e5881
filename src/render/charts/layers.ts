import { C, FONT, type InkName, SIZE } from "../theme.js";
import { place, position, type Scale } from "./scale.js";
import type { MarkType, SceneItem, SceneMark } from "./scene.js";

/** The scales of the panel that a layer is drawn in. */
export interface Scales {
  readonly x: Scale;
  readonly y: Scale | null;
}

/** One mark, waiting for the scales of its panel. Coordinates of values are data units unless said otherwise. */
export type Layer = (scales: Scales) => SceneMark;

/** A place in data units; the vertical one is NaN where the panel has no such scale. */
const atX = (s: Scales, x: number): number => position(s.x, x);
const atY = (s: Scales, y: number): number => (s.y === null ? Number.NaN : position(s.y, y));

function layer<V>(
  marktype: MarkType,
  name: string,
  o: {
    readonly values: readonly V[];
    readonly style: SceneItem;
    readonly item: (value: V, scales: Scales) => SceneItem;
  },
): Layer {
  return (scales) => ({ marktype, name, items: o.values.map((v) => ({ ...o.style, ...o.item(v, scales) })) });
}

export interface Point {
  readonly x: number;
  readonly y: number;
}

export interface LineStyle {
  readonly ink: InkName;
  readonly width?: number;
  readonly dash?: readonly number[];
  readonly opacity?: number;
}

function stroke({ ink, width = 1.5, dash, opacity = 1 }: LineStyle): SceneItem {
  return {
    stroke: C[ink],
    strokeWidth: width,
    ...(dash ? { strokeDash: dash } : {}),
    ...(opacity < 1 ? { strokeOpacity: opacity } : {}),
  };
}

/** A line through points; one whose y is null or not finite breaks it. */
export function line(
  name: string,
  values: readonly { readonly x: number; readonly y: number | null }[],
  style: LineStyle,
): Layer {
  return layer("line", name, {
    values,
    style: { ...stroke(style), strokeJoin: "round" },
    item: (v, s) => {
      const y = v.y === null ? Number.NaN : atY(s, v.y);
      return { x: atX(s, v.x), y, defined: Number.isFinite(y) };
    },
  });
}

/** An area between `y` and `y2` over `x`. */
export function band(
  name: string,
  values: readonly (Point & { readonly y2: number })[],
  ink: InkName,
): Layer {
  return layer("area", name, {
    values,
    style: { fill: C[ink], fillOpacity: 0.55 },
    item: (v, s) => {
      const [y, y2] = [atY(s, v.y), atY(s, v.y2)];
      return { x: atX(s, v.x), y, y2, defined: Number.isFinite(y) && Number.isFinite(y2) };
    },
  });
}

/** The ends of a box; without `y` and `y2` it takes the style's height. */
export interface BoxValue {
  readonly x: number;
  readonly x2: number;
  readonly y?: number;
  readonly y2?: number;
}

export interface BoxStyle {
  readonly ink: InkName;
  /** Over so much of the panel's height from the top, in the drawing's units. */
  readonly height?: number;
  readonly opacity?: number;
  readonly corner?: number;
  readonly outline?: InkName;
}

/** Boxes in data units, cut at the ends of the panel's scales. */
export function boxes(name: string, values: readonly BoxValue[], style: BoxStyle): Layer {
  const { ink, height, opacity = 1, corner = 0, outline } = style;
  return layer("rect", name, {
    values,
    style: {
      fill: C[ink],
      ...(opacity < 1 ? { fillOpacity: opacity } : {}),
      ...(corner > 0 ? { cornerRadius: corner } : {}),
      ...(outline ? { stroke: C[outline] } : {}),
    },
    item: (v, s) => {
      const [x, x2] = [place(s.x, v.x), place(s.x, v.x2)];
      const [y, y2] = height === undefined ? [place(s.y!, v.y ?? 0), place(s.y!, v.y2 ?? 0)] : [0, height];
      return { x: Math.min(x, x2), width: Math.abs(x2 - x), y: Math.min(y, y2), height: Math.abs(y2 - y) };
    },
  });
}

/** Lines across a panel: upright ones from `{x}`, level ones from `{y}`. */
export function crossLines(
  name: string,
  values: readonly Partial<Point>[],
  style: LineStyle & { readonly along: "x" | "y"; readonly length: number },
): Layer {
  const { along, length } = style;
  return layer("rule", name, {
    values,
    style: stroke(style),
    item: (v, s) => {
      if (along === "x")
        return { x: atX(s, v.x ?? Number.NaN), x2: atX(s, v.x ?? Number.NaN), y: 0, y2: length };
      return { y: atY(s, v.y ?? Number.NaN), y2: atY(s, v.y ?? Number.NaN), x: 0, x2: length };
    },
  });
}

/** Straight pieces in the drawing's units: leaders, whiskers. */
export function pieces(
  name: string,
  values: readonly { readonly x: number; readonly y: number; readonly x2: number; readonly y2: number }[],
  style: LineStyle,
): Layer {
  return layer("rule", name, {
    values,
    style: stroke(style),
    item: ({ x, y, x2, y2 }) => ({ x, y, x2, y2 }),
  });
}

export interface SignStyle {
  readonly ink: InkName;
  readonly shape: string;
  readonly size?: number;
  /** Places are in the drawing's units, not in data units. */
  readonly pixels?: boolean;
  readonly hollow?: boolean;
  readonly outline?: InkName;
}

/** Signs at points. */
export function signs(name: string, values: readonly Point[], style: SignStyle): Layer {
  return layer("symbol", name, {
    values,
    style: {
      shape: style.shape,
      size: style.size ?? 70,
      fill: style.hollow ? C.plot : C[style.ink],
      stroke: C[style.outline ?? style.ink],
      strokeWidth: 1.4,
    },
    item: (v, s) => (style.pixels ? { x: v.x, y: v.y } : { x: atX(s, v.x), y: atY(s, v.y) }),
  });
}

export type Align = "left" | "center" | "right";

export interface TextStyle {
  readonly ink: InkName;
  readonly align?: Align;
  readonly size?: number;
  readonly bold?: boolean;
}

/** Words at `{x, y, text}` in the drawing's units; a value's own `align` goes before the style's. */
export function words(
  name: string,
  values: readonly (Point & { readonly text: string; readonly align?: Align })[],
  style: TextStyle,
): Layer {
  return layer("text", name, {
    values,
    style: {
      fill: C[style.ink],
      font: FONT,
      fontSize: style.size ?? SIZE.label,
      ...(style.bold ? { fontWeight: "bold" } : {}),
      baseline: "middle",
    },
    item: ({ x, y, text, align }) => ({ x, y, text, align: align ?? style.align ?? "left" }),
  });
}

/** A picture that fills a box of the drawing's units; its pixels stay sharp. */
export function picture(
  name: string,
  url: string,
  box: { readonly x: number; readonly y: number; readonly width: number; readonly height: number },
): Layer {
  // Handed over as already loaded, so that drawing need not wait for a loader.
  const image = { src: url, width: box.width, height: box.height, complete: false };
  return layer("image", name, {
    values: [box],
    style: { image, aspect: false, smooth: false },
    item: (v) => ({ ...v }),
  });
}
