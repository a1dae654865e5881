import { flight } from "./reading.js";
import { type Row, row } from "./row.js";
import type { Trial } from "./trial.js";

type Looked = Trial & { readonly folded: NonNullable<Trial["folded"]> };

const looked = (trials: readonly Trial[]): Looked[] => trials.filter((t): t is Looked => t.folded !== null);

/**
 * Folded lines reported as structures.
 *
 * @param flown trials of the whole population
 * @param standing trials at constant speed without a report
 */
export function foldedRows(flown: readonly Trial[], standing: readonly Trial[]): Row[] {
  const noStructure = (
    what: string,
    least: number | null,
    among: readonly Looked[],
    by: "ours" | "baseline",
  ) =>
    row({
      what,
      least,
      among,
      right: (t) => t.folded[by].structures.length === 0,
      nameOf: (t) => `${flight(t)} (${t.folded[by].structures.map((f) => f.toFixed(1)).join(", ")} Hz)`,
    });
  const moving = looked(flown);
  const still = looked(standing);
  const reported = still.filter((t) => t.folded.ours.structures.length + t.folded.ours.unresolved.length > 0);
  return [
    noStructure(
      "speed reported: no folded line taken for a structure",
      1,
      moving.filter((t) => t.telemetry),
      "ours",
    ),
    noStructure(
      "no report: no folded line taken for a structure",
      0.99,
      moving.filter((t) => !t.telemetry),
      "ours",
    ),
    noStructure("constant speed, no report: no folded line taken for a structure", 0.99, still, "ours"),
    row({
      what: "… all that is reported on such a line is `unresolved`",
      least: 1,
      among: reported,
      right: (t) => t.folded.ours.structures.length === 0,
      nameOf: flight,
    }),
    noStructure(
      "baseline (peaks of the whole spectrum): none taken for a structure, moving",
      null,
      moving,
      "baseline",
    ),
    noStructure("baseline: none taken for a structure, constant speed", null, still, "baseline"),
  ];
}
