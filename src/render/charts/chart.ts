import type { Scale } from "./scale.js";
import type { Scene } from "./scene.js";

/** What a scale of a panel shows, for titles and for the page's readout. */
export interface PanelAxis extends Scale {
  readonly title: string;
  readonly unit: string;
  /** Panels with the same link zoom and point together: "frequency", "time", "rotor". */
  readonly link: "frequency" | "time" | "rotor" | "throttle" | null;
}

/** One plot of a drawing: where it lies in the drawing and how its two axes map. */
export interface Panel {
  readonly name: string;
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
  readonly xAxis: PanelAxis;
  readonly yAxis: PanelAxis | null;
  /** Range of a heat map's colours in dB, with what they are relative to. */
  readonly colours?: { readonly domain: readonly [number, number]; readonly reference: string };
}

/** A table that says the same as a drawing. */
export interface ChartTable {
  readonly head: readonly string[];
  readonly rows: readonly (readonly string[])[];
}

/** A drawing before it is turned into SVG: a pure function of result and evidence gives this. */
export interface Sketch {
  readonly name: string;
  readonly title: string;
  /** What the drawing shows, in numbers. */
  readonly alt: string;
  readonly spec: Scene;
  readonly panels: readonly Panel[];
  readonly table: ChartTable;
  /** The part of the page it belongs to. */
  readonly group: ChartGroup;
  /** The same drawn for a narrow screen, where it is not narrow already. */
  readonly narrow?: { readonly spec: Scene; readonly panels: readonly Panel[] };
}

export type ChartGroup =
  | "strip"
  | "campbell"
  | "spectra"
  | "throttle"
  | "time"
  | "orders"
  | "fits"
  | "filters";

/** A finished drawing. `svg` stands alone as a file. */
export interface Chart extends Omit<Sketch, "spec" | "narrow"> {
  readonly svg: string;
  readonly narrow?: { readonly svg: string; readonly panels: readonly Panel[] };
}
