/**
 * One place for how everything looks. Each colour of a chart has its own hex value, so that the page can turn
 * a light drawing into a dark one by style sheet alone (see page/page-style.ts).
 *
 * Colours never carry meaning by themselves: quiet bands are filled, rotor bands hatched, modes are lozenges,
 * tones are dashes. The set keeps apart under the common forms of colour blindness: a blue-green, an ochre and a
 * plum of different lightness.
 */
export interface Ink {
  readonly light: string;
  readonly dark: string;
}

export const INK = {
  paper: { light: "#fbfaf7", dark: "#12181b" },
  plot: { light: "#ffffff", dark: "#182024" },
  text: { light: "#1d2a30", dark: "#e8edee" },
  soft: { light: "#4c5c64", dark: "#aab7bc" },
  line: { light: "#c9d1d4", dark: "#3a474d" },
  grid: { light: "#e6eaeb", dark: "#263136" },
  raw: { light: "#23414f", dark: "#b9d3df" },
  rawBand: { light: "#9db7c4", dark: "#3e5764" },
  filtered: { light: "#00796f", dark: "#43c9b8" },
  dterm: { light: "#8a4b00", dark: "#f0a54a" },
  quiet: { light: "#8fd0c4", dark: "#1f6a60" },
  quietText: { light: "#00594f", dark: "#7fe0cf" },
  rotor: { light: "#f1d9a6", dark: "#5b4413" },
  rotorText: { light: "#6b4a00", dark: "#f2c76b" },
  rotorLine: { light: "#b57f0f", dark: "#d9a335" },
  mode: { light: "#7a2e6f", dark: "#e59ad9" },
  modeBand: { light: "#e3c3de", dark: "#54304e" },
  tone: { light: "#5a6b00", dark: "#c7d84a" },
  hidden: { light: "#8c979c", dark: "#76848b" },
  loud: { light: "#9d2420", dark: "#ff978c" },
  undetermined: { light: "#545d8c", dark: "#b3bbf2" },
  halo: { light: "#fefefe", dark: "#fdfdfd" },
  deep: { light: "#0b1f33", dark: "#0b1f34" },
} as const satisfies Readonly<Record<string, Ink>>;

export type InkName = keyof typeof INK;

/** Colours of a drawing as they stand in the SVG: the light ones. */
export const C: Readonly<Record<InkName, string>> = Object.fromEntries(
  Object.entries(INK).map(([name, ink]) => [name, ink.light]),
) as Record<InkName, string>;

/** Faces with the same widths on the common systems, then any other without serifs. */
export const FONT = "'Helvetica Neue', Arial, 'Liberation Sans', 'DejaVu Sans Condensed', sans-serif";

/** Letter sizes of a drawing, in its own units. */
export const SIZE = { label: 12, title: 12.5 } as const;

/** Width of a small drawing: fits a phone one to a row, a desk screen three to a row. */
export const SMALL_WIDTH = 400;
/** Width of a drawing that takes a whole row of a desk screen. */
export const WIDE_WIDTH = 1080;
