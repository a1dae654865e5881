import type { Scenario } from "../../simulator/scenario.js";
import { simulateFlight } from "../../simulator/simulate.js";
import { compareFlights } from "../../src/compare/compare-flights.js";
import type { ComparedFlight } from "../../src/compare/compared-flight.js";
import type { Comparison } from "../../src/compare/comparison.js";
import { fingerprintOf } from "../../src/compare/fingerprint-of.js";
import { identifyModes } from "../../src/modes/identify-modes.js";
import { estimateRotor } from "../../src/rotor/estimate-rotor.js";
import { commandedMotion } from "../../src/verdict/commanded-motion.js";
import { limitsFor } from "../../src/verdict/limits.js";
import { craftOf } from "../populations.js";
import { CHANGES, type Change, type FlightPair, flightPair } from "./pairs.js";

/** One pair compared: what was claimed and whether the truth could be seen. */
export interface PairOutcome {
  readonly index: number;
  readonly change: Change;
  readonly telemetry: boolean;
  /** Any statement of a difference. */
  readonly claimed: readonly string[];
  /** The change that was made is among them, the right way round. */
  readonly found: boolean;
  /** The change could be seen: the mode is observable in both flights; always true of other changes. */
  readonly visible: boolean;
  readonly matched: boolean;
}

/** Levels and propellers are found or not whatever the modes: their search is spared there. */
const MODES_MATTER: ReadonlySet<Change> = new Set(["nothing", "mode moved 3 %"]);
const NO_MODES = { modes: [], unobservable: [] };

function sameKnowledge(flight: ComparedFlight, change: Change): ComparedFlight {
  return MODES_MATTER.has(change) ? flight : { ...flight, ...NO_MODES };
}

/** Compares craft number `index` before and after each change. */
export function runPair(seed: number, index: number): PairOutcome[] {
  const before = flightOf(flightPair(seed, index, "nothing").before);
  return CHANGES.map((change): PairOutcome => {
    const pair = flightPair(seed, index, change);
    const after = flightOf(pair.after, MODES_MATTER.has(change));
    const comparison = compareFlights([sameKnowledge(before.flight, change), after.flight]);
    return {
      index,
      change,
      telemetry: pair.before.telemetry !== null,
      claimed: claims(comparison),
      found: found(comparison, pair, change),
      visible: change !== "mode moved 3 %" || (before.observable && after.observable),
      matched: comparison.bands.length > 0,
    };
  });
}

/** The pipeline without the verdict, which no comparison needs. */
function flightOf(scenario: Scenario, withModes = true): { flight: ComparedFlight; observable: boolean } {
  const { timeline, truth } = simulateFlight(scenario);
  const craft = craftOf(scenario);
  const rotor = estimateRotor(timeline, craft);
  const { tracks: _tracks, hover: _hover, ...summary } = rotor;
  const { modes, unobservable } = withModes ? identifyModes(timeline, rotor, craft) : NO_MODES;
  const flight: ComparedFlight = {
    name: scenario.name ?? "",
    sha256: scenario.name ?? "",
    saved: false,
    sampleRateHz: timeline.sampleRate,
    gyro: "raw",
    airborneS: scenario.durationS,
    craft,
    rotor: summary,
    modes,
    unobservable,
    motionTopHz: commandedMotion(timeline, craft, limitsFor(craft)).topHz,
    fingerprint: fingerprintOf(timeline, rotor),
    filters: null,
    verdict: { call: "undetermined", sentence: "", reasons: [], next: [], cautions: [] },
  };
  return { flight, observable: truth.modes[0]?.observable ?? false };
}

/** Everything that a reader would take for a difference. */
function claims(c: Comparison): string[] {
  const says = (
    changes: readonly { significant: boolean; ratioDb: number; pValue: number }[],
    what: string,
  ): string[] =>
    changes
      .filter((x) => x.significant)
      .map((x) => `${what} ${x.ratioDb.toFixed(2)} dB p ${x.pValue.toExponential(1)}`);
  return [
    ...c.bands.flatMap((b) => says([b], `band ${b.axis} ${b.fromHz.toFixed(0)}`)),
    ...c.axes.flatMap((a) => says([a], `axis ${a.axis}`)),
    ...c.orders.flatMap((o) => says([o], `order ${o.order} ${o.axis}`)),
    ...c.motors.flatMap((m) => says([m], `motor ${m.motor}`)),
    ...c.modes
      .filter((m) => m.significant)
      .map(
        (m) =>
          `mode ${m.pair[0].frequencyHz.toFixed(1)} → ${m.pair[1].frequencyHz.toFixed(1)} p ${m.pValue.toExponential(1)}`,
      ),
    ...c.loneModes
      .filter((l) => l.inOther === "absent")
      .map((l) => `mode ${l.mode.frequencyHz.toFixed(1)} only ${l.side} p ${l.pValue?.toExponential(1)}`),
  ];
}

function found(c: Comparison, pair: FlightPair, change: Change): boolean {
  const { sign } = pair;
  if (change === "mode moved 3 %") {
    const near = (hz: number): boolean => Math.abs(hz / pair.mode.frequencyHz - 1) < 0.02;
    return c.modes.some((m) => m.significant && m.shiftHz * sign > 0 && near(m.pair[0].frequencyHz));
  }
  if (change === "level 2 dB") {
    return c.answers.some((a) => a.question === "level" && a.finding === (sign > 0 ? "worse" : "better"));
  }
  if (change === "propeller 2× worse") {
    const motor = c.motors.some((m) => m.significant && m.ratioDb > 0 && m.motor === pair.motor);
    return motor || c.answers.some((a) => a.question === "once per turn" && a.finding === "worse");
  }
  return false;
}
