import * as vega from "vega";
import { compile, type TopLevelSpec } from "vega-lite";
import { textWidth } from "../src/render/charts/text-width.js";

// Without a canvas the library guesses widths from a fixed width per letter, far too wide.
(vega as unknown as typeof import("vega-scenegraph")).textMetrics.width = (item, text) =>
  textWidth(text, item.fontSize ?? 11);

/** A share that was counted, and the share that is wanted. */
export interface CountedShare {
  readonly what: string;
  readonly hits: number;
  readonly of: number;
  /** 0..1; null where nothing is asked for. */
  readonly target: number | null;
}

/** Standard normal quantile of a two-sided 95 % interval. */
const Z = 1.96;

/**
 * Interval of a share by Wilson's score.
 *
 * @returns 0..1, both ends
 * @see E. B. Wilson, Probable inference, the law of succession, and statistical inference, J. Am. Stat. Assoc. 22, 1927
 * @example wilson(9, 10) // 0.596 to 0.982
 */
export function wilson(hits: number, of: number): readonly [number, number] {
  const p = hits / of;
  const middle = (p + Z ** 2 / (2 * of)) / (1 + Z ** 2 / of);
  const half = (Z / (1 + Z ** 2 / of)) * Math.sqrt((p * (1 - p)) / of + Z ** 2 / (4 * of ** 2));
  return [Math.max(0, middle - half), Math.min(1, middle + half)];
}

/** Shares as dots with their 95 % intervals, what is wanted as an upright tick; shares of nothing are left out. */
export async function sharesFigure(title: string, shares: readonly CountedShare[]): Promise<string> {
  const values = shares
    .filter((s) => s.of > 0)
    .map(({ what, hits, of, target }) => {
      const [low, high] = wilson(hits, of);
      return { what: `${what} (${of})`, share: hits / of, low, high, target };
    });
  const y = { field: "what", type: "nominal", sort: null, title: null, axis: { labelLimit: 640 } } as const;
  const lowest = Math.min(0.8, ...values.map((v) => v.low));
  const x = {
    type: "quantitative" as const,
    scale: { domain: [Math.floor(10 * lowest) / 10, 1] },
    axis: { format: ".0%" },
    title: "share, with its 95 % interval; the upright tick is what is wanted",
  };
  const spec: TopLevelSpec = {
    title,
    width: 360,
    height: { step: 22 },
    background: "white",
    config: { font: "sans-serif" },
    data: { values },
    layer: [
      {
        mark: { type: "rule", color: "#1d3a4a", strokeWidth: 2 },
        encoding: { y, x: { field: "low", ...x }, x2: { field: "high" } },
      },
      {
        mark: { type: "point", filled: true, opacity: 1, size: 60, color: "#1d3a4a" },
        encoding: { y, x: { field: "share", ...x } },
      },
      {
        transform: [{ filter: "datum.target !== null" }],
        mark: { type: "tick", color: "#b0480f", thickness: 2, size: 18 },
        encoding: { y, x: { field: "target", ...x } },
      },
    ],
  };
  return new vega.View(vega.parse(compile(spec).spec), { renderer: "none" }).toSVG();
}
