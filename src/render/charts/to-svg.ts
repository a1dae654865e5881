import { cleanText } from "../../text/clean-text.js";
import { escapeMarkup } from "../../text/escape.js";
import type { Chart, Sketch } from "./chart.js";
import type { Scene, SceneItem, SceneMark } from "./scene.js";
import { textWidth } from "./text-width.js";

type Drawer = typeof import("vega-scenegraph");

/** Loading the library takes some hundredths of a second, so only drawing pays for it. */
async function loadDrawer(): Promise<Drawer> {
  const drawer = await import("vega-scenegraph");
  // Without a canvas the library guesses widths from a fixed width per letter, far too wide.
  drawer.textMetrics.width = (item, text) => textWidth(text, item.fontSize ?? 11);
  return drawer;
}

/** Draws every sketch, in order. */
export async function drawAll(sketches: readonly Sketch[]): Promise<Chart[]> {
  const drawer = await loadDrawer();
  return sketches.map(({ spec, narrow, ...rest }) => {
    const label = { name: rest.name, title: rest.title, alt: rest.alt };
    const svg = toSvg(drawer, spec, label);
    if (!narrow) return { ...rest, svg };
    const small = toSvg(drawer, narrow.spec, { ...label, name: rest.name + "-narrow" });
    return { ...rest, svg, narrow: { svg: small, panels: narrow.panels } };
  });
}

interface Label {
  readonly name: string;
  readonly title: string;
  readonly alt: string;
}

function toSvg(drawer: Drawer, { width, height, background, marks }: Scene, label: Label): string {
  checkNumbers(marks, label.name);
  const root = {
    marktype: "group",
    name: "root",
    role: "frame",
    items: [{ x: 0, y: 0, width, height, items: marks }],
  };
  const renderer = new drawer.SVGStringRenderer()
    .initialize(null, width, height, [0, 0])
    .background(background);
  return tidy(renderer.render(drawer.sceneFromJSON(root)).svg(), label);
}

const PLACES = ["x", "y", "x2", "y2", "width", "height"] as const;

/** A place that is not a number is a defect of the sketch, unless the item says that it is not defined there. */
function checkNumbers(marks: readonly SceneMark[], chart: string): void {
  for (const mark of marks) {
    for (const item of mark.items) {
      const bad =
        item["defined"] === false
          ? undefined
          : PLACES.find((k) => item[k] !== undefined && !Number.isFinite(item[k]));
      if (bad !== undefined)
        throw new RangeError(`chart ${chart}: ${mark.name ?? mark.marktype} has no ${bad}`);
      if (mark.marktype === "group") checkNumbers((item as SceneItem & { items: SceneMark[] }).items, chart);
    }
  }
}

/**
 * Makes the library's SVG small, the same every time and fit for a strict page: coordinates to a hundredth, ids
 * led by the chart's name, no style attributes, one title and description instead of a role on every group.
 */
function tidy(svg: string, { name, title, alt }: Label): string {
  // The library counts on from drawing to drawing; each drawing counts for itself.
  const seen = new Map<string, number>();
  const numbered = (id: string): string => {
    if (!seen.has(id)) seen.set(id, seen.size + 1);
    return `part${seen.get(id)}`;
  };
  const body = svg
    .replace(/ (?:role|aria-roledescription|aria-label|aria-hidden|pointer-events)="[^"]*"/g, "")
    .replace(/ style="image-rendering:[^"]*"/g, ' image-rendering="optimizeSpeed"')
    .replace(/ style="mix-blend-mode: ?[a-z-]+;?"/g, "")
    .replace(/(id="|url\(#)((?:clip|gradient)_?\d+)/g, (_, lead, id) => `${lead}${name}-${numbered(id)}`)
    .replace(/<[^!][^>]*>/g, shortTag)
    .replace(/<path class="background" d="M0,0h0v0h0Z"\/>/g, "")
    .replace(/<(\w+)((?:\s[^>]*[^>/])?)><\/\1>/g, "<$1$2/>");
  const head =
    `<title id="${name}-title">${escapeMarkup(cleanText(title, 200))}</title>` +
    `<desc id="${name}-desc">${escapeMarkup(cleanText(alt, 1200))}</desc>`;
  return body.replace(
    /^<svg([^>]*) class="marks"([^>]*)>/,
    `<svg$1 class="chart"$2 role="img" aria-labelledby="${name}-title" aria-describedby="${name}-desc">${head}`,
  );
}

/** Rounds numbers inside one tag; data addresses hold no decimal point and stay as they are. */
function shortTag(tag: string): string {
  if (tag.includes('"data:')) return tag;
  return tag
    .replace(/-?\d+\.\d{3,}(?:e-?\d+)?/g, (n) => String(Number(Number(n).toFixed(2)) || 0))
    .replace(/ opacity="1"/g, "");
}
