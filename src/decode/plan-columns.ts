import { AXES, type Axis } from "../units.js";
import type { How, Role } from "./flight-log.js";
import { type Flavour, type HeaderReading, readHeader } from "./read-header.js";
import { wordsOf } from "./units-of-the-trade.js";

/** One column before the body is read: what the words say, and what the data still have to settle. */
export interface PlannedColumn {
  readonly index: number;
  readonly header: string;
  /** "gyro": raw or filtered is for the data to say. null: not needed. */
  readonly role: Role | "gyro" | null;
  readonly axis: Axis | null;
  readonly motor: number | null;
  /** null: for the data to say. */
  readonly unit: string | null;
  readonly flavour: Flavour;
  readonly electrical: boolean | null;
  /** Columns of one set (three axes of one sensor, all motors) share this. */
  readonly set: string;
  readonly how: How;
  readonly why: string;
  /** Given by a column map only. */
  readonly scale?: number;
  readonly offset?: number;
}

/** Roles whose numbers are kept; the others are only named. */
export const KEPT: ReadonlySet<string> = new Set([
  "gyro",
  "gyroRaw",
  "gyroFiltered",
  "dterm",
  "setpoint",
  "throttle",
  "motor",
  "rotorSpeed",
  "accel",
  "voltage",
]);

interface Draft extends HeaderReading {
  readonly index: number;
  readonly header: string;
  role: HeaderReading["role"];
  axis: Axis | null;
  motor: number | null;
  why: string;
}

/**
 * What every column is by its words alone, sets made whole: axis and motor numbers counted from 0 or 1,
 * one column a role and axis, the rest set aside with the reason.
 *
 * Columns of role time and counter are left to `chooseTime`.
 */
export function planColumns(headers: readonly string[], units: readonly string[] | null): PlannedColumn[] {
  const drafts: Draft[] = headers.map((header, index) => {
    const reading = readHeader(header, units?.[index] ?? "");
    return { ...reading, index, header, motor: null };
  });
  bodyRateLetters(drafts);
  derivativeLetters(drafts);
  perMotorThrottle(drafts);
  for (const role of ["gyro", "dterm", "setpoint", "stick", "accel"] as const) numberedAxes(drafts, role);
  for (const role of ["motor", "rotorSpeed"] as const) numberedMotors(drafts, role);
  gyroSets(drafts);
  for (const role of ["dterm", "setpoint", "accel", "motor", "rotorSpeed"] as const)
    keepLargestSet(drafts, role);
  keepOneThrottle(drafts);
  keepFirst(drafts.filter((d) => d.role === "voltage"));
  return drafts.map(toPlanned);
}

function toPlanned(draft: Draft): PlannedColumn {
  const { index, header, axis, motor, unit, flavour, electrical, set, why } = draft;
  const labelled =
    draft.role === "gyro" && flavour ? (flavour === "raw" ? "gyroRaw" : "gyroFiltered") : draft.role;
  const counter = labelled === "counter";
  const role = counter ? "time" : labelled;
  return {
    index,
    header,
    role,
    axis,
    motor,
    unit: counter ? "samples" : unit,
    flavour,
    electrical,
    set,
    how: "header",
    why,
  };
}

function drop(draft: Draft, why: string): void {
  draft.role = null;
  draft.why = why;
}

/** The letters p, q, r alone are the body rates when all three stand in the file (flight mechanics' letters). */
function bodyRateLetters(drafts: Draft[]): void {
  const letters = (["p", "q", "r"] as const).map((letter) =>
    drafts.filter((d) => d.role === null && wordsOf(d.header)[0] === letter && d.set === ""),
  );
  if (!letters.every((found) => found.length === 1)) return;
  letters.forEach(([draft], i) => {
    draft!.role = "gyro";
    draft!.axis = AXES[i]!;
    draft!.why = "p, q, r stand for the body rates about x, y, z";
  });
}

/** "D[0]", "D[1]": the letter of a controller's derivative term, when a set of them is numbered. */
function derivativeLetters(drafts: Draft[]): void {
  const numbered = drafts.filter((d) => d.role === null && d.set === "d" && d.number !== null);
  if (numbered.length < 2) return;
  for (const draft of numbered) {
    draft.role = "dterm";
    draft.why = "numbered letters D stand for the derivative terms of the axes";
  }
}

/** "thrust 1" to "thrust 4" speak of motors, one throttle of the craft. */
function perMotorThrottle(drafts: Draft[]): void {
  const numbered = drafts.filter((d) => d.role === "throttle" && d.number !== null);
  if (numbered.length >= 3) for (const draft of numbered) draft.role = "motor";
}

function bySet(drafts: readonly Draft[]): Map<string, Draft[]> {
  const sets = new Map<string, Draft[]>();
  for (const draft of drafts) sets.set(draft.set, [...(sets.get(draft.set) ?? []), draft]);
  return sets;
}

/** Axis numbers: 0, 1, 2 when the set holds a 0, else 1, 2, 3 when it holds a 3; else nothing decides. */
function numberedAxes(drafts: Draft[], role: Draft["role"]): void {
  for (const set of bySet(drafts.filter((d) => d.role === role && d.axis === null)).values()) {
    const numbers = set.map((d) => d.number);
    const base = numbers.includes(0) ? 0 : numbers.includes(3) ? 1 : null;
    for (const draft of set) {
      const axis = base === null || draft.number === null ? undefined : AXES[draft.number - base];
      if (axis !== undefined) {
        draft.axis = axis;
        draft.why += `; number ${draft.number} of a set counted from ${base}`;
      } else if (
        base === 0 &&
        draft.number === 3 &&
        (role === "setpoint" || role === "stick") &&
        numbers.length >= 4
      ) {
        // Roll, pitch, yaw, throttle is the usual order of four sticks (common practice, no source).
        draft.role = "throttle";
        draft.why += "; the fourth of a set of four, in the order roll, pitch, yaw, throttle";
      } else drop(draft, `${draft.why}, but no axis can be read from it`);
    }
  }
}

function numberedMotors(drafts: Draft[], role: "motor" | "rotorSpeed"): void {
  for (const set of bySet(drafts.filter((d) => d.role === role)).values()) {
    const base = set.some((d) => d.number === 0) ? 0 : 1;
    for (const draft of set) {
      draft.motor = draft.number === null ? null : draft.number - base + 1;
      if (draft.number !== null) draft.why += `; number ${draft.number} of a set counted from ${base}`;
    }
  }
}

/** At most one raw and one filtered set stay; sets that no word tells apart stay as "gyro" for the data. */
function gyroSets(drafts: Draft[]): void {
  const gyros = drafts.filter((d) => d.role === "gyro");
  const sets = [...bySet(gyros).values()].map(oneAnAxis);
  const of = (flavour: Flavour): Draft[][] =>
    sets.filter((set) => set[0]!.flavour === flavour).sort((a, b) => rank(b) - rank(a));
  const [raw, filtered, open] = [of("raw"), of("filtered"), of(null)];
  for (const extra of raw.splice(1))
    for (const d of extra) drop(d, "a second set of raw gyro columns: the first is used");
  for (const extra of filtered.splice(1))
    for (const d of extra) drop(d, "a second set of filtered gyro columns: the first is used");
  const room = 2 - raw.length - filtered.length;
  for (const extra of open.splice(Math.max(0, room)))
    for (const d of extra) drop(d, "a further set of gyro columns: the others are labelled better");
}

/** Larger sets first, then those with fewer words outside the vocabulary, then plain gyro words before rates. */
function rank(set: readonly Draft[]): number {
  const strangers = set.reduce((sum, d) => sum + d.strangers, 0);
  return (
    set.length * 100 - strangers * 10 + (/gyro|gyr\b|omega/.test(set[0]!.set) ? 1 : 0) - set[0]!.index * 1e-4
  );
}

/** One column an axis (or motor) within a set: the first; the others are set aside. */
function oneAnAxis(set: readonly Draft[]): Draft[] {
  const seen = new Map<string, Draft>();
  for (const draft of set) {
    const key = `${draft.axis ?? ""}${draft.motor ?? ""}`;
    const first = seen.get(key);
    if (first) drop(draft, `says the same as column "${first.header}", which is used`);
    else seen.set(key, draft);
  }
  return [...seen.values()];
}

function keepLargestSet(drafts: Draft[], role: Draft["role"]): void {
  const sets = [...bySet(drafts.filter((d) => d.role === role)).values()].map(oneAnAxis);
  const [best, ...others] = sets.sort((a, b) => rank(b) + mechanicalFirst(b) - rank(a) - mechanicalFirst(a));
  if (!best) return;
  // Sets whose axes or motors do not overlap belong together: "gyro roll", "yaw gyro rate".
  const taken = new Set(best.map((d) => `${d.axis ?? ""}${d.motor ?? ""}`));
  for (const draft of others.flat()) {
    const key = `${draft.axis ?? ""}${draft.motor ?? ""}`;
    if (taken.has(key) || best.some((d) => d.unit !== draft.unit))
      drop(draft, `a further set for the same signal: "${best[0]!.header}" and its like are used`);
    else taken.add(key);
  }
}

/** Of two reports of rotor speed the mechanical one needs no pole count. */
function mechanicalFirst(set: readonly Draft[]): number {
  return set[0]!.electrical === true ? -1 : set[0]!.electrical === false ? 1 : 0;
}

function keepOneThrottle(drafts: Draft[]): void {
  const score = (d: Draft): number =>
    (/\b(throttle|thr)\b/.test(d.set) ? 4 : 0) + (/stick|rc|pilot|input/.test(d.set) ? -3 : 0) - d.strangers;
  keepFirst(
    drafts.filter((d) => d.role === "throttle").sort((a, b) => score(b) - score(a) || a.index - b.index),
  );
}

function keepFirst(drafts: Draft[]): void {
  for (const draft of drafts.slice(1)) drop(draft, `"${drafts[0]!.header}" is used for this signal`);
}
