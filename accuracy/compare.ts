import { CHANGES, type Change } from "./compare/pairs.js";
import { type PairOutcome, runPair } from "./compare/run-pair.js";
import type { CountedShare } from "./shares-figure.js";

export interface CompareAccuracyOptions {
  /** Crafts, each flown once before and once after each of four changes (one of them none). */
  readonly flights: number;
  readonly seed: number;
}

/** Two flights of one unchanged craft may bring any claim at all in at most this share of pairs. */
const MOST_FALSE = 0.05;
/** A change of stated size is found in at least this share. */
const LEAST_FOUND = 0.95;

/**
 * Compares invented flights of one craft, flown differently: how often a difference is claimed where there is none,
 * and how often a mode moved by 3 %, a level changed by 2 dB and one propeller made twice as bad are found.
 *
 * Changes are counted on crafts that report their rotors' speed; those that do not stand beside them.
 *
 * @returns a page, and whether every target is met
 */
export function compareAccuracy({ flights, seed }: CompareAccuracyOptions): {
  markdown: string;
  ok: boolean;
  shares: CountedShare[];
} {
  const outcomes = Array.from({ length: flights }, (_, index) => runPair(seed, index)).flat();
  return comparePage(outcomes, { flights, seed });
}

/** The page of outcomes, which may come from several processes. */
export function comparePage(
  outcomes: readonly PairOutcome[],
  { flights, seed }: CompareAccuracyOptions,
): { markdown: string; ok: boolean; shares: CountedShare[] } {
  const none = outcomes.filter((o) => o.change === "nothing");
  const claimed = none.filter((o) => o.claimed.length > 0);
  const rows = CHANGES.filter((change) => change !== "nothing").map((change) => foundRow(change, outcomes));
  const quiet = claimed.length <= MOST_FALSE * none.length;
  const ok = quiet && rows.every((row) => row.ok);
  const markdown = `# Comparing flights

${flights} invented crafts (seed ${seed}), 40 s a flight, 1 or 1.6 kHz; 4 or 6 rotors; sweep, cruise, punchy or hover,
motion, gusts, wash bursts and battery drawn anew for every flight. Every craft is flown once before, and once after
each change. In three of four crafts the motors report their speed.

| what was done | pairs | result | target |
| --- | --- | --- | --- |
| nothing, flown differently | ${none.length} | a difference claimed in ${claimed.length} (${share(claimed.length, none.length)}) | ≤ 5 % |
${rows.map((row) => row.text).join("\n")}

A mode counts where it is observable in both flights: not hidden by a rotor line in all but a few frames. "Found"
needs the right sign, and of a propeller the right motor or a rotor line that grew. Where speed is not reported, a
hover has none to be matched by, so levels of such a pair are not compared, and one motor of several can hardly be seen
to change: the misses there are mostly "cannot tell", and they are not judged. The simulator's flights of one
craft scatter less than real ones (no weather beyond gusts, no loosening joint): the share of false claims on real
pairs is not known; what is assumed for it stands in every comparison.

${claimed.length === 0 ? "No false claim." : `False claims:\n\n${claimed.map((o) => `- craft ${o.index}: ${o.claimed.slice(0, 3).join("; ")}`).join("\n")}`}
`;
  const unclaimed = none.length - claimed.length;
  const shares = [
    { what: "nothing changed, nothing claimed", hits: unclaimed, of: none.length, target: 1 - MOST_FALSE },
    ...CHANGES.filter((change) => change !== "nothing").flatMap((change) => foundShares(change, outcomes)),
  ];
  return { markdown, ok, shares };
}

/** Found changes of crafts that report their rotors' speed, which are judged, and of those that do not. */
function foundShares(change: Change, outcomes: readonly PairOutcome[]): CountedShare[] {
  return [true, false].map((telemetry) => {
    const own = outcomes.filter((o) => o.change === change && o.visible && o.telemetry === telemetry);
    return {
      what: `${change}, found${telemetry ? "" : ", speed not reported"}`,
      hits: own.filter((o) => o.found).length,
      of: own.length,
      target: telemetry ? LEAST_FOUND : null,
    };
  });
}

function foundRow(change: Change, outcomes: readonly PairOutcome[]): { text: string; ok: boolean } {
  const own = outcomes.filter((o) => o.change === change && o.visible);
  const [told, untold] = [own.filter((o) => o.telemetry), own.filter((o) => !o.telemetry)];
  const found = told.filter((o) => o.found).length;
  const other = untold.filter((o) => o.found).length;
  const result = `found in ${found} (${share(found, told.length)}); speed not reported: ${other} of ${untold.length}`;
  return {
    text: `| ${change} | ${told.length} | ${result} | ≥ 95 % |`,
    ok: found >= LEAST_FOUND * told.length,
  };
}

function share(part: number, whole: number): string {
  return whole === 0 ? "none" : `${((100 * part) / whole).toFixed(1)} %`;
}
