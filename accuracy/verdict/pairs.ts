import type { Scenario } from "../../simulator/scenario.js";
import { simulateFlight } from "../../simulator/simulate.js";
import type { Call, Reason, Verdict } from "../../src/result.js";
import type { Interval } from "../../src/units.js";
import { craftOf } from "../populations.js";
import { judgeTimeline } from "./judged.js";

/** Share of pairs that must have the same call. */
const WANTED = 0.95;
const Z95 = 1.96;

interface Pair {
  readonly seed: number;
  readonly first: Verdict;
  readonly second: Verdict;
  readonly straddling: readonly string[];
}

/** Two flights of every craft: does it get the same call? */
export function pairSection(crafts: readonly Scenario[]): {
  markdown: string;
  ok: boolean;
  /** Call of each craft's first flight. */
  first: readonly Call[];
} {
  const pairs = crafts.map(fly);
  const clear = pairs.filter((pair) => pair.straddling.length === 0);
  const told = clear.filter(({ first, second }) => [first, second].every((v) => v.call !== "undetermined"));
  const counted = (of: readonly Pair[]): string => {
    const alike = of.filter(isAlike).length;
    return `${alike} of ${of.length}${of.length === 0 ? "" : ` (95 % interval ${percent(wilson(alike, of.length))})`}`;
  };
  return {
    ok: clear.filter(isAlike).length >= WANTED * clear.length,
    first: pairs.map((pair) => pair.first.call),
    markdown: [
      "## Two flights of one craft",
      "",
      "Both flights of a pair keep to one flight plan; wind and noise are drawn anew.",
      "",
      "| pairs | same call |",
      "| --- | --- |",
      `| intervals straddle no limit (wanted ${100 * WANTED} %) | ${counted(clear)} |`,
      `| of these, both logs could carry a verdict | ${counted(told)} |`,
      `| all, straddling or not | ${counted(pairs)} |`,
      "",
      `Where an interval straddles its limit, it is that of ${tally(pairs)}.`,
      ...pairs.filter((pair) => !isAlike(pair)).map((pair) => `- ${difference(pair)}`),
      "",
      "How well the figures repeat: two values lie apart when they differ by more than the two intervals together allow (wanted: at " +
        "most 5 in 100; far fewer means wide intervals).",
      "",
      "| figure | compared | lie apart | half-width of the interval, median |",
      "| --- | --- | --- | --- |",
      ...repeats(pairs),
      "",
    ].join("\n"),
  };
}

/** One row a reason: how often its value in two flights lies apart by more than hypot of the two half-widths, in ln. */
function repeats(pairs: readonly Pair[]): string[] {
  const found = new Map<string, { apart: boolean; half: number }[]>();
  for (const { first, second } of pairs) {
    for (const [name, a] of figures(first)) {
      const b = figures(second).get(name);
      if (b === undefined) continue;
      const half = (r: Figure): number => Math.log(r.ci95[1] / r.ci95[0]) / 2;
      const apart = Math.abs(Math.log(a.value / b.value)) > Math.hypot(half(a), half(b));
      const id = name.replace(/ (roll|pitch|yaw)$/, "");
      found.set(id, [...(found.get(id) ?? []), { apart, half: half(a) }]);
    }
  }
  return [...found].map(([id, rows]) => {
    const halves = rows.map((row) => row.half).sort((a, b) => a - b);
    const middle = Math.expm1(halves[Math.floor(halves.length / 2)]!);
    return `| ${id} | ${rows.length} | ${rows.filter((row) => row.apart).length} | ${Math.round(100 * middle)} % |`;
  });
}

interface Figure {
  readonly value: number;
  readonly ci95: Interval;
}

/** Levels of one flight by name; separations are shares, not levels, and are left out. */
function figures({ reasons }: Verdict): Map<string, Figure> {
  const levels = reasons.flatMap(({ id, axis, value, ci95, message }) => {
    if (value === null || ci95 === null || !(value > 0 && ci95[0] > 0) || id === "mode-separation") return [];
    const name = id === "balance" && message.startsWith("Motor") ? "balance, worst motor" : `${id} ${axis}`;
    return [[name, { value, ci95 }] as const];
  });
  return new Map(levels);
}

function fly(scenario: Scenario): Pair {
  const verdictOf = (flown: Scenario): Verdict =>
    judgeTimeline(simulateFlight(flown).timeline, craftOf(flown)).verdict;
  const [first, second] = [verdictOf(scenario), verdictOf({ ...scenario, seed: scenario.seed + 1_000_003 })];
  const straddling = [...first.reasons, ...second.reasons].filter(straddles).map((reason) => reason.id);
  return { seed: scenario.seed, first, second, straddling: [...new Set(straddling)] };
}

const isAlike = ({ first, second }: Pair): boolean => first.call === second.call;

/** Whether a reason's interval reaches over the limit that it was graded by. */
export function straddles({ ci95, limit }: Reason): boolean {
  return ci95 !== null && limit !== null && ci95[0] <= limit && ci95[1] >= limit;
}

/** The calls of a pair, and what each flight has against the craft. */
function difference({ seed, first, second, straddling }: Pair): string {
  const said = ({ call, reasons }: Verdict): string => {
    const weighs = reasons.filter((r) => r.level !== "ok" && (r.required || r.level !== "unknown"));
    return `${call}${weighs.length > 0 ? ` (${[...new Set(weighs.map((r) => `${r.id} ${r.level}`))].join(", ")})` : ""}`;
  };
  const note = straddling.length > 0 ? `; straddling: ${straddling.join(", ")}` : "";
  return `seed ${seed}: ${said(first)} and ${said(second)}${note}`;
}

function tally(pairs: readonly Pair[]): string {
  const counts = new Map<string, number>();
  for (const id of pairs.flatMap((pair) => pair.straddling)) counts.set(id, (counts.get(id) ?? 0) + 1);
  const sorted = [...counts].sort((a, b) => b[1] - a[1]).map(([id, n]) => `${id} in ${n} pairs`);
  return sorted.length > 0 ? sorted.join(", ") : "none";
}

/**
 * 95 % interval of a share, by its score.
 *
 * @see E. B. Wilson, J. Am. Stat. Assoc. 22, 1927
 * @example wilson(95, 100) // [0.888, 0.978]
 */
export function wilson(successes: number, of: number): [low: number, high: number] {
  const p = successes / of;
  const z2 = Z95 ** 2 / of;
  const half = Z95 * Math.sqrt((p * (1 - p)) / of + z2 / (4 * of));
  return [(p + z2 / 2 - half) / (1 + z2), (p + z2 / 2 + half) / (1 + z2)];
}

const percent = ([low, high]: [number, number]): string =>
  `${Math.round(100 * low)} to ${Math.round(100 * high)} %`;
