import type { Truth } from "../../simulator/truth.js";
import type { ModesEstimate } from "../../src/modes/mode.js";
import { lawOfDamping, lawOfFrequency } from "../../src/modes/uncertainty-law.js";
import type { Axis } from "../../src/units.js";

/** How far a reported mode may lie from a true one to be taken for it. */
export function matchReach(mode: Truth["modes"][number]): number {
  return Math.max(
    3,
    0.03 * mode.frequencyHz,
    2 * mode.dampingRatio * mode.frequencyHz,
    Math.abs(mode.driftHz),
  );
}

/** What came of one true mode. */
export interface TrueModeScore {
  readonly frequencyHz: number;
  readonly dampingRatio: number;
  readonly kind: string;
  readonly observable: boolean;
  /** Declared unobservable by the program. */
  readonly declaredHidden: boolean;
  /** Per axis: dB above the averaged floor, and whether it was reported there. */
  readonly axes: readonly { readonly axis: Axis; readonly db: number; readonly found: boolean }[];
  readonly match: MatchScore | null;
}

export interface MatchScore {
  readonly kind: string;
  readonly agreement: string;
  readonly confidence: number;
  readonly errorHz: number;
  readonly covered: boolean;
  /** ln of estimated over true damping. */
  readonly dampingError: number;
  readonly dampingCovered: boolean;
  readonly halfWidthHz: number;
  /** Standard deviations that the uncertainty law allows: Hz, and relative for damping. */
  readonly lawHz: number;
  readonly lawDamping: number;
  readonly widthHz: number;
}

/** What came of one flight. */
export interface FlightScore {
  readonly name: string;
  readonly telemetry: boolean;
  readonly source: string;
  readonly modes: readonly TrueModeScore[];
  /** Reported as structure where no mode is. */
  readonly falseStructures: readonly { readonly frequencyHz: number; readonly confidence: number }[];
  /** Reported as anything but structure where no mode is. */
  readonly falseOthers: number;
  readonly wrongAxes: number;
  readonly reportedAxes: number;
  readonly falseTones: readonly number[];
  readonly tones: number;
  readonly tonesFound: number;
  readonly firstRight: boolean;
  /** Rotors that hardly change speed and report none: nothing tells a line from a structure, and none need be named. */
  readonly tellsNothing: boolean;
  /** A first mode was named, and it is not the right one: worse than none. */
  readonly firstMisnamed: boolean;
  /** Every mode reported, of whatever kind: its confidence, and whether it is real. */
  readonly reported: readonly { readonly confidence: number; readonly real: boolean }[];
}

/** Prominence from which a mode must be found, dB. */
export const MUST_FIND_DB = 8;

/** Share of the record that is free, as seconds: the record length in the uncertainty law. */
function freeSeconds(truth: Truth, freeShare: number): number {
  return (truth.airToS - truth.airFromS) * Math.max(freeShare, 0.05);
}

function scoreMode(mode: Truth["modes"][number], truth: Truth, estimate: ModesEstimate): TrueModeScore {
  const near = estimate.modes
    .map((m) => ({ m, distance: Math.abs(m.frequencyHz - mode.frequencyHz) }))
    .filter(({ distance }) => distance < matchReach(mode))
    .sort((a, b) => a.distance - b.distance)[0]?.m;
  const periods = freeSeconds(truth, mode.freeShare) * mode.frequencyHz;
  const law = { dampingRatio: mode.dampingRatio, periods, kappa: 10 };
  return {
    frequencyHz: mode.frequencyHz,
    dampingRatio: mode.dampingRatio,
    kind: mode.kind,
    observable: mode.observable,
    declaredHidden: estimate.unobservable.some(
      (b) => mode.frequencyHz > b.fromHz - 1 && mode.frequencyHz < b.toHz + 1,
    ),
    axes: mode.axes.map(({ axis, averagedDb }) => ({
      axis,
      db: averagedDb,
      found: near?.axes.some((a) => a.axis === axis) ?? false,
    })),
    match: near
      ? {
          kind: near.kind,
          agreement: near.agreement,
          confidence: near.confidence,
          errorHz: near.frequencyHz - mode.frequencyHz,
          covered: near.ci95Hz[0] <= mode.frequencyHz && mode.frequencyHz <= near.ci95Hz[1],
          dampingError: Math.log(near.dampingRatio / mode.dampingRatio),
          dampingCovered:
            near.dampingCi95[0] <= mode.dampingRatio && mode.dampingRatio <= near.dampingCi95[1],
          halfWidthHz: (near.ci95Hz[1] - near.ci95Hz[0]) / 2,
          lawHz: lawOfFrequency(law) * mode.frequencyHz,
          lawDamping: lawOfDamping(law),
          widthHz: 2 * mode.dampingRatio * mode.frequencyHz,
        }
      : null,
  };
}

/** Must this mode be found: observable and 8 dB clear on some axis? */
export function mustFind(mode: Pick<TrueModeScore, "observable" | "axes">): boolean {
  return mode.observable && mode.axes.some((a) => a.db >= MUST_FIND_DB);
}

/** The lowest reported structure is a true mode, and no mode that must be found lies below it. */
function firstIsRight(truth: Truth, scores: readonly TrueModeScore[], estimate: ModesEstimate): boolean {
  const required = scores.filter((s) => s.kind === "structure" && mustFind(s)).map((s) => s.frequencyHz);
  const lowest = Math.min(...required);
  const first = estimate.modes.find((m) => m.kind === "structure");
  if (first === undefined) return required.length === 0;
  const hit = truth.modes.find(
    (m) => m.kind === "structure" && Math.abs(m.frequencyHz - first.frequencyHz) < matchReach(m),
  );
  return hit !== undefined && hit.frequencyHz <= lowest;
}

/** A speed that keeps within this ratio from its 5th to its 95th percentile is constant. */
const CONSTANT_SPEED = 1.12;

/** Constant speed without a report. */
function tellsNothing({ rotor }: Truth): boolean {
  return rotor.unit === null && rotor.bandHz[1] < CONSTANT_SPEED * rotor.bandHz[0];
}

/** Holds an estimate against the truth of its flight. */
export function scoreFlight(truth: Truth, estimate: ModesEstimate, source: string): FlightScore {
  const modes = truth.modes.map((m) => scoreMode(m, truth, estimate));
  const firstRight = firstIsRight(truth, modes, estimate);
  const matches = (hz: number): Truth["modes"] =>
    truth.modes.filter((m) => Math.abs(m.frequencyHz - hz) < matchReach(m));
  const unmatched = estimate.modes.filter((m) => matches(m.frequencyHz).length === 0);
  let wrongAxes = 0;
  let reportedAxes = 0;
  for (const m of estimate.modes) {
    const real = matches(m.frequencyHz);
    if (real.length === 0 || m.kind !== "structure") continue;
    reportedAxes += m.axes.length;
    wrongAxes += m.axes.filter((a) => real.every((r) => r.axes.every((t) => t.axis !== a.axis))).length;
  }
  const isTone = (hz: number): boolean => truth.tones.some((t) => Math.abs(t.loggedHz - hz) < 1.5);
  return {
    name: truth.name,
    telemetry: truth.rotor.unit !== null,
    source,
    modes,
    falseStructures: unmatched
      .filter((m) => m.kind === "structure")
      .map((m) => ({ frequencyHz: m.frequencyHz, confidence: m.confidence })),
    falseOthers: unmatched.filter((m) => m.kind !== "structure").length,
    wrongAxes,
    reportedAxes,
    falseTones: estimate.tones.map((t) => t.frequencyHz).filter((hz) => !isTone(hz)),
    tones: truth.tones.length,
    tonesFound: truth.tones.filter((t) =>
      estimate.tones.some((e) => Math.abs(e.frequencyHz - t.loggedHz) < 1.5),
    ).length,
    firstRight,
    tellsNothing: tellsNothing(truth),
    firstMisnamed: !firstRight && estimate.modes.some((m) => m.kind === "structure"),
    reported: estimate.modes.map((m) => ({
      confidence: m.confidence,
      real: matches(m.frequencyHz).length > 0,
    })),
  };
}
