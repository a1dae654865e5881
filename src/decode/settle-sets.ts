import type { Role } from "./flight-log.js";
import type { PlannedColumn } from "./plan-columns.js";
import { liveliness, upperFallDb } from "./raw-or-filtered.js";

/** A fall of the upper band beyond this is a low-pass, not a sensor. Common practice, no source. */
const LOW_PASS_DB = -15;
/** A set must be this much livelier from row to row (power) to be the raw one of two. Common practice, no source. */
const LIVELIER = 1.3;

type Columns = ReadonlyMap<number, Float32Array>;
type Decision = { readonly role: Role | null; readonly why: string };

/**
 * Lets the spectra decide which gyro sets are raw and which filtered, where no word says so. A set that is
 * neither, next to the others, is set aside with the reason.
 */
export function settleGyroSets(columns: Columns, planned: readonly PlannedColumn[]): PlannedColumn[] {
  const open = new Map<string, PlannedColumn[]>();
  for (const c of planned) if (c.role === "gyro") open.set(c.set, [...(open.get(c.set) ?? []), c]);
  const decided = new Map<number, Decision>();
  const decide = (set: readonly PlannedColumn[], role: Role | null, why: string): void => {
    for (const c of set) decided.set(c.index, { role, why: `${c.why}; ${why}` });
  };
  const lively = (set: readonly PlannedColumn[]): number =>
    liveliness(set.map((c) => columns.get(c.index) ?? new Float32Array(0)));
  const labelled = (role: Role): PlannedColumn[] => planned.filter((c) => c.role === role);
  const [first, second] = [...open.values()];
  if (first !== undefined && second !== undefined) twoSets([first, second], { columns, decide, lively });
  else if (first !== undefined) {
    const [raw, filtered] = [labelled("gyroRaw"), labelled("gyroFiltered")];
    if (raw.length > 0) besideRaw(lively(first) / lively(raw), (role, why) => decide(first, role, why));
    else if (filtered.length > 0)
      besideFiltered(lively(first) / lively(filtered), (role, why) => decide(first, role, why));
    else alone(first, columns, (role, why) => decide(first, role, why));
  }
  return planned.map((c) => {
    const found = decided.get(c.index);
    return found === undefined ? c : { ...c, ...found, how: "data" as const };
  });
}

interface Deciding {
  readonly columns: Columns;
  readonly decide: (set: readonly PlannedColumn[], role: Role | null, why: string) => void;
  readonly lively: (set: readonly PlannedColumn[]) => number;
}

function twoSets([a, b]: [PlannedColumn[], PlannedColumn[]], { columns, decide, lively }: Deciding): void {
  const ratio = lively(a) / lively(b);
  if (ratio < LIVELIER && ratio > 1 / LIVELIER) {
    alone(a, columns, (role, why) => decide(a, role, why));
    decide(b, null, `as lively as "${a[0]!.header}": a second sensor, not a filtered one; the first is used`);
    return;
  }
  const [raw, filtered] = ratio >= 1 ? [a, b] : [b, a];
  decide(raw, "gyroRaw", "of two gyro sets the livelier one is raw");
  decide(filtered, "gyroFiltered", "of two gyro sets the calmer one is filtered");
}

type Verdict = (role: Role | null, why: string) => void;

function besideRaw(ratio: number, decide: Verdict): void {
  if (ratio < 1) decide("gyroFiltered", "calmer than the raw set beside it: filtered");
  else decide(null, "no calmer than the raw set beside it: not a filtered one");
}

function besideFiltered(ratio: number, decide: Verdict): void {
  if (ratio > 1) decide("gyroRaw", "livelier than the filtered set beside it: raw");
  else decide(null, "no livelier than the filtered set beside it: not a raw one");
}

/** One set without a word: raw only when its spectrum shows no low-pass. */
function alone(set: readonly PlannedColumn[], columns: Columns, decide: Verdict): void {
  const falls = set
    .map((c) => upperFallDb(columns.get(c.index) ?? new Float32Array(0)))
    .filter((db) => !Number.isNaN(db));
  const fall = falls.length === 0 ? Number.NaN : Math.min(...falls);
  const said = `its upper band falls by ${(-fall).toFixed(0)} dB`;
  if (fall >= LOW_PASS_DB) decide("gyroRaw", `${said}: no low-pass, so it is taken as raw`);
  else if (fall < LOW_PASS_DB) decide("gyroFiltered", `${said}: a low-pass, so it is filtered`);
  else decide("gyroFiltered", "too short to see a low-pass, so it is taken as filtered");
}
