import { quantile } from "../../src/stats/quantile.js";
import { type FlightScore, type MatchScore, MUST_FIND_DB, type TrueModeScore } from "./score.js";

/** A share with its count, or a number. */
export interface Share {
  readonly hits: number;
  readonly of: number;
}

/** Everything that a table row needs, over one set of flights. */
export interface Summary {
  readonly flights: number;
  readonly found: Share;
  /** Of those not found, declared unobservable. */
  readonly missedButDeclared: number;
  readonly falseStructures: Share;
  readonly falseWithoutModes: Share;
  readonly wrongAxes: Share;
  readonly falseTones: Share;
  readonly tonesFound: Share;
  /** First mode right; at constant speed without a report naming none is right too. */
  readonly firstRight: Share;
  readonly firstMisnamed: Share;
  /** At constant speed without a report: first mode named, and rightly. */
  readonly firstAtConstantSpeed: Share;
  readonly medianErrorHz: number;
  readonly p95ErrorHz: number;
  /** Error at most the larger of 1 Hz and a tenth of the half-power width. */
  readonly withinLimit: Share;
  readonly medianErrorInLaw: number;
  readonly covered: Share;
  readonly damping25: Share;
  readonly dampingCovered: Share;
  readonly bothAgree: Share;
  readonly matched: number;
}

type Matched = TrueModeScore & { readonly match: MatchScore };

function share<T>(items: readonly T[], test: (item: T) => boolean): Share {
  return { hits: items.filter(test).length, of: items.length };
}

/** Best damping that the uncertainty law allows for "within 25 %" to be asked: 12 %. */
const LAW_LIMIT = 0.12;

/** Adds up the scores of a set of flights. */
export function summarise(flights: readonly FlightScore[]): Summary {
  const seen = flights.flatMap((f) => f.modes).filter((m) => m.observable);
  const places = seen.flatMap((m) =>
    m.axes.filter((a) => a.db >= MUST_FIND_DB).map((a) => ({ ...a, mode: m })),
  );
  const matched = seen.filter((m): m is Matched => m.match !== null && m.match.kind === "structure");
  const errors = matched.map((m) => Math.abs(m.match.errorHz));
  const allowed = matched.filter((m) => m.match.lawDamping <= LAW_LIMIT);
  const sum = (of: (f: FlightScore) => number): number => flights.reduce((s, f) => s + of(f), 0);
  return {
    flights: flights.length,
    found: share(places, (p) => p.found),
    missedButDeclared: places.filter((p) => !p.found && p.mode.declaredHidden).length,
    falseStructures: share(flights, (f) => f.falseStructures.length > 0),
    falseWithoutModes: share(
      flights.filter((f) => f.modes.length === 0),
      (f) => f.falseStructures.length > 0,
    ),
    wrongAxes: { hits: sum((f) => f.wrongAxes), of: sum((f) => f.reportedAxes) },
    falseTones: share(flights, (f) => f.falseTones.length > 0),
    tonesFound: { hits: sum((f) => f.tonesFound), of: sum((f) => f.tones) },
    firstRight: share(flights, (f) => f.firstRight || (f.tellsNothing && !f.firstMisnamed)),
    firstMisnamed: share(flights, (f) => f.firstMisnamed),
    firstAtConstantSpeed: share(
      flights.filter((f) => f.tellsNothing),
      (f) => f.firstRight,
    ),
    medianErrorHz: quantile(errors, 0.5),
    p95ErrorHz: quantile(errors, 0.95),
    withinLimit: share(matched, (m) => Math.abs(m.match.errorHz) <= Math.max(1, 0.1 * m.match.widthHz)),
    medianErrorInLaw: quantile(
      matched.map((m) => Math.abs(m.match.errorHz) / m.match.lawHz),
      0.5,
    ),
    covered: share(matched, (m) => m.match.covered),
    damping25: share(allowed, (m) => Math.abs(Math.expm1(m.match.dampingError)) <= 0.25),
    dampingCovered: share(matched, (m) => m.match.dampingCovered),
    bothAgree: share(matched, (m) => m.match.agreement === "both"),
    matched: matched.length,
  };
}
