import type { CountedShare } from "../shares-figure.js";

/** A line of the accuracy table: how many of the flights that it is about came out right, and which did not. */
export interface Row {
  readonly what: string;
  readonly wanted: string;
  readonly found: string;
  readonly share: CountedShare;
  /** null: not judged, or nothing to judge by. */
  readonly met: boolean | null;
  readonly failing: readonly string[];
}

export interface RowOptions<T> {
  readonly what: string;
  /** Least share of hits; null: shown beside, not judged. */
  readonly least: number | null;
  readonly among: readonly T[];
  readonly right: (t: T) => boolean;
  readonly nameOf: (t: T) => string;
}

/** Counts hits among what the row is about. Nothing to count is "none", which meets no target. */
export function row<T>({ what, least, among, right, nameOf }: RowOptions<T>): Row {
  const failing = among.filter((t) => !right(t));
  const hits = among.length - failing.length;
  return {
    what,
    wanted: least === null ? "" : least === 1 ? "all" : `${percent(least)} %`,
    found: share(hits, among.length),
    share: { what, hits, of: among.length, target: least },
    met: least === null || among.length === 0 ? null : hits >= least * among.length,
    failing: least === null ? [] : failing.map(nameOf),
  };
}

/** "97 of 100 (97.0 %)"; "none" where there was nothing to count. */
export function share(hits: number, all: number): string {
  return all === 0 ? "none" : `${hits} of ${all} (${((100 * hits) / all).toFixed(1)} %)`;
}

function percent(part: number): string {
  return String(Math.round(1000 * part) / 10);
}

/** Rows as a Markdown table, flights that missed a judged row named below it. */
export function tableOf(rows: readonly Row[]): string {
  const word = ({ wanted, met }: Row): string =>
    wanted === "" ? "" : met === null ? "none to judge" : met ? "yes" : "**no**";
  const lines = rows.map((r) => `| ${r.what} | ${r.wanted} | ${r.found} | ${word(r)} |`);
  const named = rows
    .filter((r) => r.failing.length > 0)
    .map((r) => `- ${r.what}: not so in ${r.failing.join(", ")}`);
  return [
    "| what | wanted | found | met |",
    "| --- | --- | --- | --- |",
    ...lines,
    ...(named.length > 0 ? ["", "Flights that missed:", "", ...named] : []),
  ].join("\n");
}
