import type { Spec } from "vega";
import { cleanText } from "../../text/clean-text.js";
import { escapeMarkup } from "../../text/escape.js";
import type { Chart, Sketch } from "./chart.js";
import { textWidth } from "./text-width.js";

type Vega = typeof import("vega");

/** Loading takes a tenth of a second, so only drawing pays for it. */
async function loadVega(): Promise<Vega> {
  const vega = await import("vega");
  const metrics = (vega as unknown as { textMetrics: TextMetrics }).textMetrics;
  // Without a canvas the library guesses widths from a fixed width per letter, far too wide.
  metrics.width = (item, text) => textWidth(text, item.fontSize ?? 11);
  return vega;
}

interface TextMetrics {
  width(item: { fontSize?: number }, text: string): number;
}

/** Draws every sketch, in order. */
export async function drawAll(sketches: readonly Sketch[]): Promise<Chart[]> {
  const vega = await loadVega();
  const charts: Chart[] = [];
  for (const { spec, narrow, ...rest } of sketches) {
    const label = { title: rest.title, alt: rest.alt };
    const svg = await toSvg(vega, spec, { name: rest.name, ...label });
    if (!narrow) charts.push({ ...rest, svg });
    else {
      const small = await toSvg(vega, narrow.spec, { name: rest.name + "-narrow", ...label });
      charts.push({ ...rest, svg, narrow: { svg: small, panels: narrow.panels } });
    }
  }
  return charts;
}

interface Label {
  readonly name: string;
  readonly title: string;
  readonly alt: string;
}

async function toSvg(vega: Vega, spec: Spec, label: Label): Promise<string> {
  const view = new vega.View(vega.parse(spec), { renderer: "none", logger: strictLogger(label.name) });
  try {
    return tidy(await view.toSVG(), label);
  } finally {
    view.finalize();
  }
}

/** A warning of the drawing library is a defect of the sketch: it stops, naming the chart. */
function strictLogger(name: string): import("vega").LoggerInterface {
  const stop = (...args: readonly unknown[]): never => {
    throw new Error(`chart ${name}: ${args.map(String).join(" ")}`);
  };
  const logger = {
    level: () => logger,
    error: stop,
    warn: stop,
    info: () => logger,
    debug: () => logger,
  };
  return logger as unknown as import("vega").LoggerInterface;
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
