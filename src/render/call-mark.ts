import type { Call } from "../result.js";

/**
 * Each call has a mark in the shape of a trace: flat, rippled, jagged, dotted. The word always stands beside it;
 * neither needs colour.
 */
export const CALL_TRACE: Readonly<Record<Call, { readonly unicode: string; readonly ascii: string }>> = {
  quiet: { unicode: "────", ascii: "----" },
  marginal: { unicode: "─∿∿─", ascii: "-~~-" },
  loud: { unicode: "╱╲╱╲", ascii: "/\\/\\" },
  undetermined: { unicode: "┈ ┈┈", ascii: ". .." },
};

/** The same traces as drawings in a box of 64 × 24. */
const CALL_PATH: Readonly<Record<Call, string>> = {
  quiet: "M4,12H60",
  marginal: "M4,12H12Q17,3 22,12T32,12T42,12T52,12H60",
  loud: "M4,12L10,3L18,21L26,2L34,22L42,3L50,21L60,12",
  undetermined: "M4,12H60",
};

/** The mark as an SVG element; hidden from screen readers because the word stands beside it. */
export function callMarkSvg(call: Call): string {
  const dots = call === "undetermined" ? ' stroke-dasharray="0.1 9"' : "";
  return (
    `<svg class="trace" viewBox="0 0 64 24" width="64" height="24" aria-hidden="true" focusable="false">` +
    `<path d="${CALL_PATH[call]}" fill="none" stroke="currentColor" stroke-width="4" stroke-linecap="round" ` +
    `stroke-linejoin="round"${dots}/></svg>`
  );
}
