/**
 * Units as people write them in headers, as runs of words: "deg/s", "deg_s" and "(°/s)" all tokenise to
 * `deg s`. Longest run wins. One line per spelling family: unit, then its spellings.
 */
export const UNIT_SPELLINGS: Readonly<Record<string, readonly string[]>> = {
  "deg/s": [
    "deg s",
    "deg s 1",
    "deg sec",
    "deg second",
    "deg per s",
    "deg per sec",
    "deg per second",
    "degs s",
    "degree s",
    "degrees s",
    "degrees sec",
    "degree sec",
    "degree per second",
    "degrees per second",
    "degrees per sec",
    "dps",
    "degps",
    "degs",
  ],
  "rad/s": [
    "rad s",
    "rad s 1",
    "rad sec",
    "rad second",
    "rad per s",
    "rad per sec",
    "rad per second",
    "rads s",
    "radian s",
    "radians s",
    "radians sec",
    "radian per second",
    "radians per second",
    "radians per sec",
    "rads",
    "radps",
    "rps rad",
  ],
  "m/s²": [
    "m s 2",
    "m s s",
    "m per s 2",
    "m per s s",
    "m s squared",
    "mps 2",
    "mss",
    "m sec 2",
    "meters per second squared",
    "metres per second squared",
  ],
  g: ["g", "gs", "gee", "gees"],
  "0.001 g": ["mg", "milli g"],
  "electrical rpm": ["erpm", "e rpm", "electrical rpm", "elec rpm"],
  rpm: [
    "rpm",
    "rev min",
    "revs min",
    "rev per min",
    "revs per minute",
    "revolutions per minute",
    "r min",
    "u min",
    "1 min",
    "rev minute",
  ],
  Hz: ["hz", "hertz", "rev s", "revs s", "rev per s", "rev per second", "revs per second", "rps", "1 s"],
  "%": ["percent", "pct", "perc"],
  "0..1": ["norm", "normalized", "normalised", "0 1", "ratio", "fraction"],
  "0..1000": ["0 1000", "permille"],
  "1000..2000": ["1000 2000"],
  "0..65535": ["0 65535"],
  V: ["v", "volt", "volts"],
  "0.001 V": ["mv", "m v", "millivolt", "millivolts"],
  "0.01 V": ["cv", "c v", "centivolt", "centivolts"],
  s: ["s", "sec", "secs", "second", "seconds"],
  ms: ["ms", "msec", "msecs", "milli", "millis", "millisecond", "milliseconds"],
  us: ["us", "usec", "usecs", "micro", "micros", "microsecond", "microseconds", "u s", "μs"],
  ns: ["ns", "nsec", "nsecs", "nano", "nanos", "nanosecond", "nanoseconds"],
  counts: ["counts", "count", "lsb", "lsbs", "raw counts"],
};

const BY_WORDS = new Map(
  Object.entries(UNIT_SPELLINGS).flatMap(([unit, spellings]) => spellings.map((s) => [s, unit] as const)),
);

/** Other unit words that may stand in a row of units. */
const OTHER_UNITS = new Set(
  "deg degree degrees rad m mm cm km mps a ma mah c degc celsius k pa hpa kpa mbar bar t ut gauss mgauss db dbm raw none unitless bool enum iso8601 w min rpm lsb dimensionless n nm kg".split(
    " ",
  ),
);

/** A unit found in a run of words: which, and the words it covers. */
export interface UnitFound {
  readonly unit: string;
  readonly from: number;
  readonly to: number;
}

/**
 * Lower-case words of a header: split at anything that is no letter or digit, at camel-case borders and
 * between letters and digits; "°", "%" and "µ" become words.
 *
 * @example wordsOf("gyroRollRaw [°/s]") // ["gyro", "roll", "raw", "deg", "s"]
 */
export function wordsOf(header: string): string[] {
  return header
    .slice(0, 200)
    .normalize("NFKC")
    .replace(/°/g, " deg ")
    .replace(/%/g, " percent ")
    .replace(/μ/g, "u")
    .replace(/([a-z])([A-Z][a-z])/g, "$1 $2")
    .replace(/([a-z]{2})([A-Z])/g, "$1 $2")
    .replace(/([A-Z]{2,})([A-Z][a-z]{2})/g, "$1 $2")
    .replace(/([A-Za-z])(\d)/g, "$1 $2")
    .replace(/(\d)([A-Za-z])/g, "$1 $2")
    .toLowerCase()
    .split(/[^a-z0-9ω]+/)
    .filter((word) => word !== "");
}

/** All units in a run of words, longest first match from the left, none overlapping. */
export function findUnits(words: readonly string[]): UnitFound[] {
  const found: UnitFound[] = [];
  for (let from = 0; from < words.length; from++) {
    for (let to = Math.min(words.length, from + 4); to > from; to--) {
      const unit = BY_WORDS.get(words.slice(from, to).join(" "));
      if (unit === undefined) continue;
      found.push({ unit, from, to });
      from = to - 1;
      break;
    }
  }
  return found;
}

/** True when a cell is nothing but a unit, as in a row of units under the header. */
export function isUnitCell(cell: string): boolean {
  const words = wordsOf(cell);
  if (words.length === 0) return true;
  const units = findUnits(words);
  const covered = units.reduce((sum, u) => sum + u.to - u.from, 0);
  return covered === words.length || words.every((w) => OTHER_UNITS.has(w) || ["s", "2", "3"].includes(w));
}
