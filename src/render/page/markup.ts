import { shown } from "../../text/escape.js";
import type { ChartTable } from "../charts/chart.js";

/** A table that may be wider than a phone: it scrolls in its own box, which the keyboard can reach. */
export function table({ head, rows }: ChartTable, caption: string): string {
  const cells = (tag: "th" | "td", row: readonly string[]): string =>
    row
      .map((c, i) =>
        tag === "td" && i === 0 ? `<th scope="row">${shown(c, 120)}</th>` : `<td>${shown(c, 300)}</td>`,
      )
      .join("");
  const heads = head.map((h) => `<th scope="col">${shown(h, 60)}</th>`).join("");
  return (
    `<div class="scroll" tabindex="0" role="region" aria-label="${shown(caption, 120)}"><table>` +
    `<caption>${shown(caption, 200)}</caption><thead><tr>${heads}</tr></thead>` +
    `<tbody>${rows.map((row) => `<tr>${cells("td", row)}</tr>`).join("")}</tbody></table></div>`
  );
}

/** Pairs of a name and a text. */
export function pairs(items: readonly (readonly [string, string])[]): string {
  return `<dl>${items.map(([k, v]) => `<dt>${shown(k, 80)}</dt><dd>${shown(v, 400)}</dd>`).join("")}</dl>`;
}

export function section(id: string, title: string, body: string): string {
  return `<section id="${id}" aria-labelledby="${id}-title"><h2 id="${id}-title">${shown(title)}</h2>\n${body}\n</section>`;
}

export function paragraph(text: string): string {
  return `<p>${shown(text, 1200)}</p>`;
}

/**
 * Any value of a section whose shape this program does not fix, as nested lists; depth and length are bounded.
 */
export function anything(value: unknown, depth = 0): string {
  if (value === null || value === undefined) return "unknown";
  if (typeof value === "number") return shown(String(Number(value.toPrecision(5))));
  if (typeof value !== "object") return shown(String(value), 300);
  if (depth >= 4) return "…";
  if (Array.isArray(value)) {
    return `<ul>${value
      .slice(0, 60)
      .map((v) => `<li>${anything(v, depth + 1)}</li>`)
      .join("")}</ul>`;
  }
  const entries = Object.entries(value).slice(0, 60);
  return `<dl>${entries.map(([k, v]) => `<dt>${shown(k, 80)}</dt><dd>${anything(v, depth + 1)}</dd>`).join("")}</dl>`;
}
