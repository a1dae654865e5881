import type { Axis } from "../units.js";
import type { Role } from "./flight-log.js";
import { findUnits, type UnitFound, wordsOf } from "./units-of-the-trade.js";
import { isKnown, says, unglue } from "./vocabulary.js";

/** Which of two gyro sets the words say this is. */
export type Flavour = "raw" | "filtered" | null;

/** What the words of one header say; nothing here has looked at the data. */
export interface HeaderReading {
  readonly role: Role | "gyro" | "counter" | null;
  readonly axis: Axis | null;
  /** A number that may be an axis (0, 1, 2 or 1, 2, 3) or a motor; which is decided from the whole set. */
  readonly number: number | null;
  readonly unit: string | null;
  readonly flavour: Flavour;
  /** Rotor speed: true electrical, false mechanical, null not said. */
  readonly electrical: boolean | null;
  /** The words that columns of one set share: all but axis, number and unit, sorted. */
  readonly set: string;
  /** How many of the words are outside the vocabulary. */
  readonly strangers: number;
  readonly why: string;
}

const UNITS_OF: Readonly<Record<string, readonly string[]>> = {
  time: ["s", "ms", "us", "ns"],
  gyro: ["deg/s", "rad/s", "counts"],
  setpoint: ["deg/s", "rad/s"],
  dterm: ["%", "0..1", "0..1000"],
  throttle: ["%", "0..1", "0..1000", "1000..2000", "0..65535", "us"],
  stick: ["%", "0..1", "0..1000", "1000..2000", "us"],
  motor: ["%", "0..1", "0..1000", "1000..2000", "0..65535", "us"],
  rotorSpeed: ["rpm", "electrical rpm", "Hz", "rad/s"],
  accel: ["m/s²", "g", "0.001 g", "counts"],
  voltage: ["V", "0.001 V", "0.01 V"],
};

/**
 * Reads one header by the grammar of the trade's words.
 *
 * @param header as in the file
 * @param unitCell the cell below it in a row of units, "" when there is none
 * @example readHeader("gyro_roll_rad_s", "") // role "gyro", axis "roll", unit "rad/s"
 */
export function readHeader(header: string, unitCell = ""): HeaderReading {
  const words = wordsOf(header).flatMap(unglue);
  const units = [...findUnits(wordsOf(unitCell)), ...findUnits(words)];
  const role = roleOf(words, units);
  const allowed = UNITS_OF[role ?? ""] ?? [];
  const unit = units.find((found) => allowed.includes(found.unit))?.unit ?? null;
  const rest = withoutUnits(words, findUnits(words), allowed);
  const numbers = rest.filter((word) => /^\d{1,2}$/.test(word)).map(Number);
  const axis = axisOf(rest, role);
  const number = axis === null || role === "motor" || role === "rotorSpeed" ? (numbers.at(-1) ?? null) : null;
  const flavour = flavourOf(rest, header);
  return {
    role,
    axis,
    number,
    unit: unit === "us" && ["throttle", "stick", "motor"].includes(role ?? "") ? "1000..2000" : unit,
    flavour,
    electrical: electricalOf(words, unit),
    set: setOf(rest, number),
    strangers: rest.filter(
      (word) => !/^\d+$/.test(word) && !isKnown(word) && !(word in BODY_RATES) && !(word in AXIS_WORDS),
    ).length,
    why:
      role === null ? "no word of the trade for a signal that is needed" : `the words "${words.join(" ")}"`,
  };
}

/** First rule that fits wins; each rule is one line of the table in docs/decoding.md. */
function roleOf(words: readonly string[], units: readonly UnitFound[]): HeaderReading["role"] {
  const has = (...ideas: Parameters<typeof says>[1][]): boolean => says(words, ...ideas);
  const unit = (...names: string[]): boolean => units.some((found) => names.includes(found.unit));
  const axis = axisOf(words, "gyro") !== null;
  const numbered = words.some((word) => /^\d{1,2}$/.test(word));
  const bare = units.some((found) => found.from === 0 && found.to === words.length);
  if (has("elsewhere")) return null;
  if (bare && unit("s", "ms", "us", "ns")) return "time";
  const body = has("gyro", "accel", "rotor", "throttle", "rate", "setpoint", "stick", "dterm") || axis;
  if (has("time") && !body && !words.includes("loop")) return "time";
  if (has("time")) return null;
  const axisWord = words.includes("axis") && numbered;
  if (has("dterm") || (words.includes("d") && (has("pid") || ((axis || axisWord) && !has("gyro", "rate")))))
    return "dterm";
  if (has("derivative") && has("pid") && !words.includes("d")) return "dterm";
  if (/\b[pif] (term|pid)|(pid|term) [pif]\b/.test(words.join(" ")) && !has("gyro")) return null;
  if (has("rpm") || unit("rpm", "electrical rpm")) return "rotorSpeed";
  if (has("rotor") && (has("speed", "gyro", "rate") || unit("Hz", "rad/s"))) return "rotorSpeed";
  if (has("throttle") && has("rotor") && numbered) return "motor";
  if (has("throttle")) return /\b[xy]\b/.test(words.join(" ")) ? null : "throttle";
  if (has("rotor", "output") && numbered && !axis) return "motor";
  if (has("accel")) return has("setpoint") || has("angular") ? null : "accel";
  if (has("stick") && (axis || numbered) && !has("gyro"))
    return has("setpoint") && has("rate") ? "setpoint" : "stick";
  if (has("setpoint") && (axis || numbered)) return "setpoint";
  if (has("command") && axis && (has("rate") || unit("deg/s", "rad/s"))) return "setpoint";
  if (has("command") && axis && !has("gyro")) return "stick";
  if (has("gyro") && (axis || numbered)) return "gyro";
  if (has("angular") && has("speed", "rate") && (axis || numbered)) return "gyro";
  if (axis && (has("rate") || unit("deg/s", "rad/s"))) return "gyro";
  // The speed of an angle; "velocity x" would be that of the craft.
  if (has("roll", "pitch", "yaw") && has("speed")) return "gyro";
  if (axis && has("raw", "filtered") && words.length <= 3) return "gyro";
  if (has("voltage") && (has("battery") || words.every((w) => isKnown(w) || /^\d+$/.test(w))))
    return "voltage";
  if (has("battery") && unit("V", "0.001 V", "0.01 V")) return "voltage";
  if (has("counter") && words.every((word) => isKnown(word) || /^\d+$/.test(word))) return "counter";
  return null;
}

function withoutUnits(
  words: readonly string[],
  units: readonly UnitFound[],
  allowed: readonly string[],
): string[] {
  const keep = words.map(() => true);
  for (const found of units) {
    // "motor 1 s": a lone letter is a unit only where the role can have it.
    if (!allowed.includes(found.unit) && found.to - found.from < 2) continue;
    keep.fill(false, found.from, found.to);
  }
  return words.filter((_, i) => keep[i]);
}

const AXIS_WORDS: Readonly<Record<string, Axis>> = {
  roll: "roll",
  rolls: "roll",
  x: "roll",
  wx: "roll",
  gx: "roll",
  ax: "roll",
  pitch: "pitch",
  pitches: "pitch",
  y: "pitch",
  wy: "pitch",
  gy: "pitch",
  ay: "pitch",
  yaw: "yaw",
  yaws: "yaw",
  z: "yaw",
  wz: "yaw",
  gz: "yaw",
  az: "yaw",
};
const BODY_RATES: Readonly<Record<string, Axis>> = { p: "roll", q: "pitch", r: "yaw" };

function axisOf(words: readonly string[], role: HeaderReading["role"]): Axis | null {
  for (const word of words) {
    const axis = AXIS_WORDS[word];
    if (axis !== undefined) return axis;
  }
  if (role !== "gyro" && role !== "setpoint") return null;
  if (!says(words, "gyro", "rate", "angular", "setpoint")) return null;
  const letter = words.find((word) => word in BODY_RATES);
  return letter === undefined ? null : BODY_RATES[letter]!;
}

function flavourOf(words: readonly string[], header: string): Flavour {
  const text = words.join(" ");
  if (/\b(un|non|not|no|pre|before) (filter|filtered|filt|lpf)\b/.test(text)) return "raw";
  if (/\b(post|after) (filter|filtered|filt|lpf)\b/.test(text)) return "filtered";
  if (says(words, "raw") && !/\((raw|counts)\)|\[raw\]/i.test(header)) return "raw";
  return says(words, "filtered") ? "filtered" : null;
}

function electricalOf(words: readonly string[], unit: string | null): boolean | null {
  if (unit === "electrical rpm" || says(words, "electrical")) return true;
  if (words.join(" ").includes("e rpm")) return true;
  return says(words, "mechanical") ? false : null;
}

function setOf(words: readonly string[], number: number | null): string {
  const last =
    number === null ? -1 : words.findLastIndex((word) => /^\d+$/.test(word) && Number(word) === number);
  return words
    .filter(
      (word, i) =>
        i !== last && !(word in BODY_RATES) && !(AXIS_WORDS[word] !== undefined && word.length !== 2),
    )
    .map((word) => (/^[wga][xyz]$/.test(word) ? word[0]! : word))
    .sort()
    .join(" ");
}
