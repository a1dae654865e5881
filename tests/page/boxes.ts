/// <reference lib="dom" />
/// <reference lib="dom.iterable" />
import type { Page } from "playwright-core";

export interface BadBox {
  readonly id: string;
  /** Drawings of the figure that show: one, wide or narrow. */
  readonly shown: number;
  readonly fits: boolean;
  /** Words that reach over the drawing's edge. */
  readonly over: readonly string[];
}

/** Figures whose drawing is missing, reaches out of the figure, or has words over its own edge. */
export function badBoxes(page: Page): Promise<BadBox[]> {
  return page.evaluate(() => {
    const inside = (inner: DOMRect, outer: DOMRect): boolean =>
      inner.left >= outer.left - 1 &&
      inner.right <= outer.right + 1 &&
      inner.top >= outer.top - 1 &&
      inner.bottom <= outer.bottom + 1;
    return [...document.querySelectorAll("figure")]
      .map((figure) => {
        const shown = [...figure.querySelectorAll<SVGSVGElement>(".draw svg")].filter(
          (svg) => svg.getBoundingClientRect().width > 0,
        );
        const over = shown.flatMap((svg) =>
          [...svg.querySelectorAll("text")]
            .filter((t) => t.getBoundingClientRect().width > 0)
            .filter((t) => !inside(t.getBoundingClientRect(), svg.getBoundingClientRect()))
            .map((t) => t.textContent ?? ""),
        );
        const box = shown[0]?.getBoundingClientRect();
        const fits = box !== undefined && box.height > 60 && inside(box, figure.getBoundingClientRect());
        return { id: figure.id, shown: shown.length, fits, over };
      })
      .filter((b) => b.shown !== 1 || !b.fits || b.over.length > 0);
  });
}
