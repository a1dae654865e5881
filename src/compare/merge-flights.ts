import type { Mode, UnobservableBand } from "../modes/mode.js";
import type { RotorSummary } from "../result.js";
import type { Interval } from "../units.js";
import type { ComparedFlight } from "./compared-flight.js";
import { mergeFingerprints } from "./merge-fingerprints.js";
import { pairModes } from "./pair-modes.js";

/** Flights of one build as one flight; the call is the last one's. */
export function mergeFlights(flights: readonly ComparedFlight[]): ComparedFlight {
  const first = flights[0]!;
  if (flights.length === 1) return first;
  const prints = flights.map((f) => f.fingerprint).filter((p) => p !== null);
  return {
    ...flights.at(-1)!,
    airborneS: flights.reduce((sum, f) => sum + f.airborneS, 0),
    rotor: mergeRotor(flights.map((f) => f.rotor)),
    modes: mergeModes(flights.map((f) => f.modes)),
    unobservable: flights
      .slice(1)
      .reduce<readonly UnobservableBand[]>(
        (common, f) => hiddenInBoth(common, f.unobservable),
        first.unobservable,
      ),
    motionTopHz: Math.max(...flights.map((f) => f.motionTopHz ?? 0)) || null,
    fingerprint: prints.length === flights.length ? mergeFingerprints(prints) : null,
  };
}

/** Parts of the spectrum that neither log could show. */
function hiddenInBoth(
  one: readonly UnobservableBand[],
  two: readonly UnobservableBand[],
): UnobservableBand[] {
  return one.flatMap((a) =>
    two.flatMap((b) => {
      const fromHz = Math.max(a.fromHz, b.fromHz);
      const toHz = Math.min(a.toHz, b.toHz);
      return toHz > fromHz ? [{ ...a, fromHz, toHz }] : [];
    }),
  );
}

/** Modes that at least half of the flights show: means weighing by certainty, with the flights' own scatter. */
function mergeModes(all: readonly (readonly Mode[])[]): Mode[] {
  const groups: Mode[][] = [];
  for (const modes of all) {
    const { pairs, after } = pairModes(
      groups.map((g) => g[0]!),
      modes,
    );
    for (const [known, mode] of pairs) groups.find((g) => g[0] === known)!.push(mode);
    for (const mode of after) groups.push([mode]);
  }
  return groups
    .filter((g) => 2 * g.length >= all.length)
    .map(meanMode)
    .sort((a, b) => a.frequencyHz - b.frequencyHz);
}

function meanMode(group: readonly Mode[]): Mode {
  const strongest = [...group].sort((a, b) => b.confidence - a.confidence)[0]!;
  if (group.length === 1) return strongest;
  const f = combined(
    group.map((m) => m.frequencyHz),
    group.map((m) => m.ci95Hz),
  );
  const z = combined(
    group.map((m) => Math.log(m.dampingRatio)),
    group.map((m) => [Math.log(m.dampingCi95[0]), Math.log(m.dampingCi95[1])]),
  );
  return {
    ...strongest,
    frequencyHz: f.mean,
    ci95Hz: f.ci95,
    dampingRatio: Math.exp(z.mean),
    dampingCi95: [Math.exp(z.ci95[0]), Math.exp(z.ci95[1])],
  };
}

/** Inverse-variance mean; its interval is no narrower than what the values' own scatter gives. */
function combined(
  values: readonly number[],
  intervals: readonly Interval[],
): { mean: number; ci95: Interval } {
  const weights = intervals.map(([low, high]) => ((2 * 1.96) / Math.max(1e-12, high - low)) ** 2);
  const total = weights.reduce((sum, w) => sum + w, 0);
  const mean = values.reduce((sum, v, i) => sum + v * weights[i]!, 0) / total;
  const chi = values.reduce((sum, v, i) => sum + weights[i]! * (v - mean) ** 2, 0) / (values.length - 1);
  const half = 1.96 * Math.sqrt(Math.max(1, chi) / total);
  return { mean, ci95: [mean - half, mean + half] };
}

function mergeRotor(all: readonly RotorSummary[]): RotorSummary {
  const first = all[0]!;
  const bands = all.map((r) => r.bandHz).filter((b) => b !== null);
  const medians = all.map((r) => r.medianHz).filter((m) => m !== null);
  return {
    ...first,
    medianHz: medians.length === 0 ? null : medians.reduce((sum, m) => sum + m, 0) / medians.length,
    bandHz:
      bands.length === 0 ? null : [Math.min(...bands.map((b) => b[0])), Math.max(...bands.map((b) => b[1]))],
  };
}
