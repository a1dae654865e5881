import { type InkName, SIZE } from "../theme.js";
import type { Panel } from "./chart.js";
import { spread } from "./labels.js";
import { type Layer, pieces, words } from "./layers.js";

/** A name for something that ends at the right edge of a panel. */
export interface SideLabel {
  /** Height in the panel, in the drawing's units. */
  readonly y: number;
  readonly text: string;
  readonly ink: InkName;
  /** Class that the page switches, e.g. "name-raw". */
  readonly name?: string;
}

/** Names to the right of a panel, spread so that none touches another, each led to its place. */
export function sideLabels(labels: readonly SideLabel[], panel: Panel): Layer[] {
  const at = spread(
    labels.map((l) => l.y),
    { from: 6, to: panel.height - 4, step: SIZE.label + 3 },
  );
  const x = panel.width;
  return labels.flatMap((label, i) => [
    pieces(`${label.name ?? "name"}-lead-${i}`, [{ x: x + 1, y: label.y, x2: x + 9, y2: at[i]! }], {
      ink: label.ink,
      width: 1,
    }),
    words(label.name ?? `side-${i}`, [{ x: x + 12, y: at[i]!, text: label.text }], { ink: label.ink }),
  ]);
}
