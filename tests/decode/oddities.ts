import { deflateRawSync, gzipSync } from "node:zlib";
import { expect } from "vitest";
import type { DecodeOptions } from "../../src/decode/decode.js";
import type { Channel, FlightLog } from "../../src/decode/flight-log.js";
import { edit, HEADER, ROWS, value, write } from "./table.js";

/** One odd input: how it looks, what happens, and the check of it. */
export interface Oddity {
  /** File name in tests/fixtures/decode. */
  readonly file: string;
  /** For the table in docs/decoding.md. */
  readonly oddity: string;
  readonly outcome: string;
  readonly make: () => Uint8Array;
  readonly options?: Partial<DecodeOptions>;
  /** What the log must be; for an error, what its line must say. */
  readonly check: ((log: FlightLog) => void) | RegExp;
}

const utf8 = (text: string): Uint8Array => Buffer.from(text, "utf8");
const latin1 = (text: string): Uint8Array => Buffer.from(text, "latin1");
const utf16 = (text: string, big: boolean): Uint8Array => {
  const little = Buffer.from(`\uFEFF${text}`, "utf16le");
  return big ? little.swap16() : little;
};

export function channel(log: FlightLog, role: Channel["role"], which: string | number): Channel {
  const found = log.channels.find(
    (c) => c.role === role && (typeof which === "number" ? c.motor === which : c.axis === which),
  );
  if (found === undefined) throw new Error(`no ${role} ${which}`);
  return found;
}

const warning = (log: FlightLog, id: string) => log.warnings.find((w) => w.id === id);

/** The table itself, whole: every gyro value the nearest single to its text, time to a double's rounding. */
function whole(log: FlightLog, rows = ROWS, skip: readonly number[] = []): void {
  const kept = Array.from({ length: rows }, (_, i) => i).filter((i) => !skip.includes(i));
  expect(log.rows).toBe(kept.length);
  (["roll", "pitch", "yaw"] as const).forEach((axis, i) => {
    const series = log.channels.find(
      (c) => (c.role === "gyroRaw" || c.role === "gyroFiltered") && c.axis === axis,
    );
    expect(Array.from(series!.values)).toEqual(kept.map((row) => Math.fround(value(i + 1, row))));
  });
  for (const [i, row] of kept.entries())
    expect(log.time[i]! - log.time[0]!).toBeCloseTo(value(0, row) - value(0, kept[0]!), 9);
}
const plain = (log: FlightLog): void => {
  whole(log);
  expect(log.warnings).toEqual([]);
  expect(Array.from(channel(log, "throttle", null as never).values.slice(0, 3))).toEqual(
    [0.4, 0.41, 0.42].map(Math.fround),
  );
};
const same = (log: FlightLog): void => whole(log);

/** A time column written otherwise. */
const timed = (header: string, cell: (seconds: number, row: number) => string): string =>
  write({
    header: [header, ...HEADER.slice(1)],
    cell: (c, row, text) => (c === 0 ? cell(value(0, row), row) : text),
  });

/** The table with every line changed; `at` counts from 0, the header's. */
const edited = (change: (line: string, at: number) => string): string =>
  write()
    .split("\n")
    .map((line, at) => (line === "" ? line : change(line, at)))
    .join("\n");

/** The table with further columns at its end. */
const extended = (names: readonly string[], cells: (row: number) => string): string =>
  edited((line, at) => `${line},${at === 0 ? names.join(",") : cells(at - 1)}`);

function clockText(seconds: number): string {
  const part = (value: number): string => String(Math.floor(value)).padStart(2, "0");
  const ms = Math.round(seconds * 1000) % 86_400_000;
  const fraction = String(ms % 1000).padStart(3, "0");
  return `${part(ms / 3_600_000)}:${part((ms / 60_000) % 60)}:${part((ms / 1000) % 60)}.${fraction}`;
}

/** One raw block in a Zstandard frame (RFC 8878): stored, not compressed. */
function zstdStored(bytes: Uint8Array): Uint8Array {
  const head = Buffer.from([0x28, 0xb5, 0x2f, 0xfd, 0xa0, 0, 0, 0, 0, 0, 0, 0]);
  head.writeUInt32LE(bytes.length, 5);
  head.writeUIntLE((bytes.length << 3) | 1, 9, 3);
  return Buffer.concat([head, bytes]);
}

const renamed = (header: readonly string[]): string => write({ header });
const gyro = (a: string, b: string, c: string, time = "time (s)"): readonly string[] => [
  time,
  a,
  b,
  c,
  "throttle (%)",
];

export const ODDITIES: readonly Oddity[] = [
  { file: "comma.csv", oddity: "commas", outcome: "read", make: () => utf8(write()), check: plain },
  {
    file: "semicolon.csv",
    oddity: "semicolons",
    outcome: "read",
    make: () => utf8(write({ delimiter: ";" })),
    check: plain,
  },
  {
    file: "tab.csv",
    oddity: "tabs",
    outcome: "read",
    make: () => utf8(write({ delimiter: "\t" })),
    check: plain,
  },
  {
    file: "pipe.csv",
    oddity: "vertical bars",
    outcome: "read",
    make: () => utf8(write({ delimiter: "|" })),
    check: plain,
  },
  {
    file: "blanks.txt",
    oddity: "runs of blanks",
    outcome: "read; header words are joined by underscores",
    make: () =>
      utf8(
        write({
          delimiter: "   ",
          header: [
            "time_s",
            "gyro_raw_roll_deg/s",
            "gyro_raw_pitch_deg/s",
            "gyro_raw_yaw_deg/s",
            "throttle_%",
          ],
        }),
      ),
    check: plain,
  },
  {
    file: "crlf.csv",
    oddity: "CRLF line ends",
    outcome: "read",
    make: () => utf8(write({ newline: "\r\n" })),
    check: plain,
  },
  {
    file: "cr.csv",
    oddity: "lone CR line ends",
    outcome: "read",
    make: () => utf8(write({ newline: "\r" })),
    check: plain,
  },
  {
    file: "no-last-newline.csv",
    oddity: "no line end after the last row",
    outcome: "read, last row too",
    make: () => utf8(write({ lastNewline: false })),
    check: plain,
  },
  {
    file: "bom.csv",
    oddity: "UTF-8 mark",
    outcome: "taken off",
    make: () => utf8(`\uFEFF${write()}`),
    check: plain,
  },
  {
    file: "utf16le.csv",
    oddity: "UTF-16, little end first, with mark",
    outcome: "read",
    make: () => utf16(write(), false),
    check: plain,
  },
  {
    file: "utf16be.csv",
    oddity: "UTF-16, big end first, with mark",
    outcome: "read",
    make: () => utf16(write(), true),
    check: plain,
  },
  {
    file: "latin1.csv",
    oddity: "Latin-1 degree sign in a header",
    outcome: "read as °",
    make: () => latin1(renamed(gyro("gyro raw roll [°/s]", "gyro raw pitch [°/s]", "gyro raw yaw [°/s]"))),
    check: (log) => {
      plain(log);
      expect(channel(log, "gyroRaw", "roll").unit).toBe("deg/s");
    },
  },
  {
    file: "quoted-header.csv",
    oddity: "quoted headers with delimiters inside",
    outcome: "read",
    make: () =>
      utf8(
        renamed([
          '"time (s)"',
          '"gyro, raw, roll (deg/s)"',
          '"gyro, raw, pitch (deg/s)"',
          '"gyro, raw, yaw (deg/s)"',
          '"throttle (%)"',
        ]),
      ),
    check: plain,
  },
  {
    file: "quoted-cells.csv",
    oddity: "every cell quoted",
    outcome: "read through the quoting parser",
    make: () => utf8(write({ cell: (_c, _r, t) => `"${t}"` })),
    check: plain,
  },
  {
    file: "quoted-comment-column.csv",
    oddity: "a text column with commas, line ends and doubled quotes inside quotes (RFC 4180)",
    outcome: "read; the column is not used",
    make: () =>
      utf8(
        edit(write(), 0, (h) => `${h},remark`)
          .split("\n")
          .map((line, i) =>
            i === 0 || line === "" ? line : `${line},${i === 5 ? '"a, ""b""\nand c"' : '"x"'}`,
          )
          .join("\n"),
      ),
    check: same,
  },
  {
    file: "decimal-comma.csv",
    oddity: "decimal commas with semicolons",
    outcome: "read",
    make: () => utf8(write({ delimiter: ";", decimalComma: true })),
    check: plain,
  },
  {
    file: "decimal-comma-tab.csv",
    oddity: "decimal commas with tabs",
    outcome: "read",
    make: () => utf8(write({ delimiter: "\t", decimalComma: true })),
    check: plain,
  },
  {
    file: "exponents.csv",
    oddity: "numbers with exponents",
    outcome: "read, to the same double",
    make: () => utf8(write({ cell: (c, _r, t) => (c === 0 || c === 4 ? t : Number(t).toExponential(6)) })),
    check: plain,
  },
  {
    file: "plus-signs.csv",
    oddity: "leading plus signs",
    outcome: "read",
    make: () => utf8(write({ cell: (c, _r, t) => (c > 0 && !t.startsWith("-") ? `+${t}` : t) })),
    check: plain,
  },
  {
    file: "padded.csv",
    oddity: "blanks around numbers",
    outcome: "read",
    make: () => utf8(write({ cell: (_c, _r, t) => `  ${t} ` })),
    check: plain,
  },
  {
    file: "no-value.csv",
    oddity: "empty, NaN, nan, null and - cells",
    outcome: "missing values; no warning",
    make: () =>
      utf8(write({ cell: (c, r, t) => (c === 4 && r < 5 ? ["", "NaN", "nan", "null", "-"][r]! : t) })),
    check: (log) => {
      same(log);
      expect(
        Array.from(channel(log, "throttle", null as never).values.slice(0, 6)).map(Number.isNaN),
      ).toEqual([true, true, true, true, true, false]);
      expect(warning(log, "not-numbers")).toBeUndefined();
    },
  },
  {
    file: "words-in-cells.csv",
    oddity: "words where numbers belong",
    outcome: "missing values, counted with the first row",
    make: () => utf8(write({ cell: (c, r, t) => (c === 4 && (r === 9 || r === 20) ? "oops" : t) })),
    check: (log) => {
      same(log);
      expect(warning(log, "not-numbers")).toMatchObject({ count: 2, row: 11 });
    },
  },
  {
    file: "metadata.csv",
    oddity: "lines of remarks and key/value pairs before the header",
    outcome: "kept as notes",
    make: () => utf8(`# invented flight\n# craft: Test bird\nfirmware = none\nlog rate,1000\n\n${write()}`),
    check: (log) => {
      plain(log);
      expect(log.notes).toEqual(
        expect.arrayContaining([
          { key: "craft", value: "Test bird" },
          { key: "firmware", value: "none" },
          { key: "log rate", value: "1000" },
        ]),
      );
    },
  },
  {
    file: "repeated-header.csv",
    oddity: "the header again in the middle (two exports joined)",
    outcome: "left out, counted with its row",
    make: () => utf8(edit(write(), 41, (line) => [HEADER.join(","), line])),
    check: (log) => {
      same(log);
      expect(warning(log, "header-again")).toMatchObject({ count: 1, row: 42 });
    },
  },
  {
    file: "units-row.csv",
    oddity: "a row of units under the header",
    outcome: "read as the units",
    make: () =>
      utf8(
        edit(renamed(["time", "gyro raw roll", "gyro raw pitch", "gyro raw yaw", "throttle"]), 0, (h) => [
          h,
          "s,deg/s,deg/s,deg/s,%",
        ]),
      ),
    check: (log) => {
      plain(log);
      expect(channel(log, "gyroRaw", "roll")).toMatchObject({ unit: "deg/s", how: "header" });
    },
  },
  {
    file: "trailing-delimiter.csv",
    oddity: "a delimiter after the last cell",
    outcome: "read",
    make: () => utf8(write().replaceAll("\n", ",\n")),
    check: plain,
  },
  {
    file: "short-row.csv",
    oddity: "a row with too few cells",
    outcome: "left out whole, counted with its row; nothing shifts",
    make: () => utf8(edit(write(), 31, (line) => line.split(",").slice(0, 3).join(","))),
    check: (log) => {
      whole(log, ROWS, [30]);
      expect(warning(log, "ragged-rows")).toMatchObject({ count: 1, row: 32 });
    },
  },
  {
    file: "long-row.csv",
    oddity: "a row with too many cells",
    outcome: "left out whole, counted with its row; nothing shifts",
    make: () => utf8(edit(write(), 31, (line) => `${line},7`)),
    check: (log) => {
      whole(log, ROWS, [30]);
      expect(warning(log, "ragged-rows")).toMatchObject({ count: 1, row: 32 });
    },
  },
  {
    file: "blank-lines.csv",
    oddity: "blank lines between rows",
    outcome: "passed over",
    make: () => utf8(edit(write(), 20, (line) => ["", "   ", line])),
    check: same,
  },
  {
    file: "open-quote.csv",
    oddity: "a quote that never closes",
    outcome: "the line is read as it stands, counted",
    make: () => utf8(edit(write(), 40, (line) => line.replace(/,([^,]*)$/, ',"$1'))),
    check: (log) => expect(warning(log, "open-quotes")?.count).toBe(1),
  },
  {
    file: "gzip.csv.gz",
    oddity: "gzip",
    outcome: "read, told by content",
    make: () => gzipSync(utf8(write())),
    check: plain,
  },
  {
    file: "gzip-named-csv.csv",
    oddity: "gzip under a plain name",
    outcome: "read, told by content",
    make: () => gzipSync(utf8(write())),
    check: plain,
  },
  {
    file: "gzip-members.csv.gz",
    oddity: "several gzip members",
    outcome: "read one after the other",
    make: () => {
      const text = write();
      return Buffer.concat([gzipSync(utf8(text.slice(0, 1000))), gzipSync(utf8(text.slice(1000)))]);
    },
    check: plain,
  },
  {
    file: "gzip-cut.csv.gz",
    oddity: "a cut gzip archive",
    outcome: "what could be read, with a warning; the half row at the end is not read",
    make: () => gzipSync(utf8(write({ rows: 4000 })), { level: 1 }).subarray(0, 20_000),
    check: (log) => {
      expect(log.rows).toBeGreaterThan(500);
      expect(log.rows).toBeLessThan(4000);
      whole(log, log.rows);
      expect(warning(log, "archive-cut")?.count).toBe(1);
    },
  },
  {
    file: "gzip-trailing.csv.gz",
    oddity: "foreign bytes behind a gzip archive",
    outcome: "all rows but perhaps the last few, with a warning",
    make: () => Buffer.concat([gzipSync(utf8(write())), utf8("foreign bytes")]),
    check: (log) => {
      expect(log.rows).toBeGreaterThan(ROWS - 8);
      expect(warning(log, "archive-cut")).toBeDefined();
    },
  },
  {
    file: "gzip-broken.csv.gz",
    oddity: "a gzip archive damaged at its start",
    outcome: "error 65",
    make: () => Buffer.concat([gzipSync(utf8(write())).subarray(0, 12), Buffer.alloc(40, 0x55)]),
    check: /damaged gzip archive/,
  },
  {
    file: "zstd.csv.zst",
    oddity: "Zstandard",
    outcome: "read, told by content",
    make: () => zstdStored(utf8(write())),
    check: plain,
  },
  {
    file: "bomb.csv.gz",
    oddity: "a small archive that expands without end",
    outcome: "error 65 at the limit; --max-expanded raises it",
    make: () =>
      gzipSync(Buffer.concat([utf8(write({ rows: 300 })), Buffer.alloc(3_000_000, "0.301,1,2,3,40\n")])),
    options: { maxExpandedBytes: 1_000_000 },
    check: /expands to more than .*--max-expanded/,
  },
  {
    file: "time-ms.csv",
    oddity: "time in ms",
    outcome: "read",
    make: () => utf8(timed("time (ms)", (s) => String(Math.round(s * 1e3)))),
    check: plain,
  },
  {
    file: "time-us.csv",
    oddity: "time in µs",
    outcome: "read",
    make: () => utf8(timed("timestamp [us]", (s) => String(Math.round(s * 1e6)))),
    check: plain,
  },
  {
    file: "time-ns.csv",
    oddity: "time in ns",
    outcome: "read",
    make: () => utf8(timed("t_ns", (s) => String(Math.round(s * 1e9)))),
    check: plain,
  },
  {
    file: "time-no-unit.csv",
    oddity: "time without a unit",
    outcome: "the unit that gives a flight log's rate, by data",
    make: () => utf8(timed("time", (s) => String(Math.round(s * 1e6)))),
    check: (log) => {
      plain(log);
      expect(log).toMatchObject({ timeUnit: "us", timeHow: "data" });
    },
  },
  {
    file: "time-wrong-unit.csv",
    oddity: "a time unit in the header that the data contradict",
    outcome: "the data decide, and the reason says so",
    make: () => utf8(timed("time (s)", (s) => String(Math.round(s * 1e6)))),
    check: (log) => {
      plain(log);
      expect(log.timeWhy).toMatch(/against the header/);
    },
  },
  {
    file: "counter-no-rate.csv",
    oddity: "a sample counter, no rate known",
    outcome: "error 65: give --rate",
    make: () => utf8(timed("sample", (_s, row) => String(row))),
    check: /--rate HZ/,
  },
  {
    file: "counter.csv",
    oddity: "a sample counter with --rate",
    outcome: "read",
    make: () => utf8(timed("sample", (_s, row) => String(row))),
    options: { rateHz: 1000 },
    check: plain,
  },
  {
    file: "iso-stamps.csv",
    oddity: "wall-clock stamps (ISO 8601)",
    outcome: "read, counted from the first row",
    make: () => utf8(timed("time", (_s, row) => `2026-03-01T12:00:00.${String(row).padStart(3, "0")}Z`)),
    check: (log) => {
      same(log);
      expect(log.time[0]).toBe(0);
      expect(log.timeUnit).toBe("wall clock");
    },
  },
  {
    file: "time-wrap.csv",
    oddity: "a microsecond clock that starts over at 2^32",
    outcome: "undone and counted",
    make: () => utf8(timed("time (us)", (_s, row) => String((2 ** 32 - 40_000 + row * 1000) % 2 ** 32))),
    check: (log) => {
      same(log);
      expect(warning(log, "time-wrap")?.count).toBe(1);
    },
  },
  {
    file: "time-still.csv",
    oddity: "time that stands still",
    outcome: "counted",
    make: () => utf8(timed("time (ms)", (_s, row) => String(row === 50 ? 49 : row))),
    check: (log) => expect(warning(log, "time-still")).toMatchObject({ count: 1, row: 52 }),
  },
  {
    file: "time-back.csv",
    oddity: "time that goes back a little",
    outcome: "counted",
    make: () => utf8(timed("time (ms)", (_s, row) => String(row === 50 ? 47 : row))),
    check: (log) => expect(warning(log, "time-back")).toMatchObject({ count: 1, row: 52 }),
  },
  {
    file: "two-flights.csv",
    oddity: "time that steps back by seconds, or a long pause",
    outcome: "several flights, listed",
    make: () => utf8(timed("time (s)", (s, row) => (row < 30 ? s : row < 55 ? s + 60 : s).toFixed(3))),
    check: (log) =>
      expect(log.flights.map((f) => [f.fromRow, f.toRow])).toEqual([
        [0, 30],
        [30, 55],
        [55, 80],
      ]),
  },
  {
    file: "counter-stated-rate.csv",
    oddity: "a sample counter, and a line that states the rate of the rows",
    outcome: "read at that rate",
    make: () =>
      utf8(`# sample rate: 1 kHz\n# loop rate: 8 kHz\n${timed("sample", (_s, row) => String(row))}`),
    check: (log) => {
      whole(log);
      expect(log.timeHow).toBe("header");
    },
  },
  {
    file: "midnight.csv",
    oddity: "a time of day that passes midnight",
    outcome: "goes on",
    make: () => utf8(timed("time", (seconds) => clockText(86_399.97 + seconds))),
    check: (log) => {
      whole(log);
      expect(log.flights).toHaveLength(1);
    },
  },
  {
    file: "row-numbers.csv",
    oddity: "a first column of row numbers without a name in the header",
    outcome: "seen by its counting; the names belong to the cells after it, with a warning",
    make: () => utf8(edited((line, at) => (at === 0 ? line : `"${at}",${line}`))),
    check: (log) => {
      whole(log);
      expect(warning(log, "row-numbers")?.row).toBe(2);
    },
  },
  {
    file: "fewer-names.csv",
    oddity: "fewer names than cells otherwise",
    outcome: "error 65: nothing is shifted",
    make: () => utf8(edited((line, at) => (at === 0 ? line : `${line},3.5`))),
    check: /the header names 5 columns, the rows hold 6 cells/,
  },
  {
    file: "more-names.csv",
    oddity: "a last name without cells",
    outcome: "names are laid over the cells from the left, with a warning",
    make: () => utf8(edited((line, at) => (at === 0 ? `${line},battery (V)` : line))),
    check: (log) => {
      whole(log);
      expect(warning(log, "names-without-cells")?.message).toContain("battery (V)");
    },
  },
  {
    file: "sparse-filtered.csv",
    oddity: "a filtered gyro logged in every other row only",
    outcome: "not used, with a warning: no spectrum of it would be true",
    make: () => utf8(extended(["gyro filtered roll (deg/s)"], (row) => (row % 2 === 0 ? "1.5" : ""))),
    check: (log) => {
      whole(log);
      expect(log.channels.some((c) => c.role === "gyroFiltered")).toBe(false);
      expect(warning(log, "sparse-column")).toBeDefined();
    },
  },
  {
    file: "d-letters.csv",
    oddity: "a numbered letter D",
    outcome: "the D-term",
    make: () => utf8(extended(["P[0]", "D[0]", "D[1]"], (row) => `1,${row % 5},${row % 3}`)),
    check: (log) => {
      whole(log);
      expect(log.channels.filter((c) => c.role === "dterm").map((c) => c.axis)).toEqual(["roll", "pitch"]);
    },
  },
  {
    file: "too-large.csv",
    oddity: "numbers beyond single precision, 1e999 too",
    outcome: "missing values, counted",
    make: () =>
      utf8(write({ cell: (c, row, text) => (c === 4 && row < 2 ? ["1e39", "-1e999"][row]! : text) })),
    check: (log) => {
      whole(log);
      expect(warning(log, "too-large")?.count).toBe(2);
      expect(channel(log, "throttle", null as never).values[0]).toBeNaN();
    },
  },
  {
    file: "no-time.csv",
    oddity: "no time column",
    outcome: "error 65: give --rate",
    make: () => utf8(write({ header: ["height", ...HEADER.slice(1)] })),
    check: /no time column/,
  },
  {
    file: "axes-xyz.csv",
    oddity: "axes as x, y, z",
    outcome: "roll, pitch, yaw",
    make: () => utf8(renamed(gyro("gyro_raw_x_dps", "gyro_raw_y_dps", "gyro_raw_z_dps"))),
    check: plain,
  },
  {
    file: "axes-012.csv",
    oddity: "axes as 0, 1, 2",
    outcome: "roll, pitch, yaw",
    make: () => utf8(renamed(gyro("gyroRaw[0] (deg/s)", "gyroRaw[1] (deg/s)", "gyroRaw[2] (deg/s)"))),
    check: plain,
  },
  {
    file: "axes-123.csv",
    oddity: "axes as 1, 2, 3",
    outcome: "roll, pitch, yaw",
    make: () => utf8(renamed(gyro("raw gyro 1 dps", "raw gyro 2 dps", "raw gyro 3 dps"))),
    check: plain,
  },
  {
    file: "camel-case.csv",
    oddity: "camel case, other word order",
    outcome: "read",
    make: () =>
      utf8(
        renamed(
          gyro(
            "rollRateUnfilteredDegPerSec",
            "pitchRateUnfilteredDegPerSec",
            "yawRateUnfilteredDegPerSec",
            "elapsedTimeS",
          ),
        ),
      ),
    check: plain,
  },
  {
    file: "rad-per-s.csv",
    oddity: "rad/s in the header",
    outcome: "converted to deg/s",
    make: () => utf8(renamed(gyro("gyro_raw_roll_rad_s", "gyro_raw_pitch_rad_s", "gyro_raw_yaw_rad_s"))),
    check: (log) =>
      expect(channel(log, "gyroRaw", "roll").values[3]).toBeCloseTo((value(1, 3) * 180) / Math.PI, 2),
  },
  {
    file: "unit-by-size.csv",
    oddity: "no unit of the gyro, values of tens in steps of hundredths",
    outcome: "deg/s, by data",
    make: () =>
      utf8(
        write({
          header: gyro("gyro raw roll", "gyro raw pitch", "gyro raw yaw"),
          cell: (c, r, t) => (c > 0 && c < 4 ? (Math.round(value(c, r) * 20) / 20).toFixed(2) : t),
        }),
      ),
    check: (log) => expect(channel(log, "gyroRaw", "roll")).toMatchObject({ unit: "deg/s", how: "data" }),
  },
  {
    file: "counts.csv",
    oddity: "gyro in sensor counts",
    outcome: "error 65: a map is asked for",
    make: () =>
      utf8(
        write({
          header: gyro("gyro raw roll (counts)", "gyro raw pitch (counts)", "gyro raw yaw (counts)"),
          cell: (c, r, t) => (c > 0 && c < 4 ? String(Math.round(value(c, r) * 200)) : t),
        }),
      ),
    check: /unit of the gyro cannot be told/,
  },
  {
    file: "two-gyros.csv",
    oddity: "two gyro sets that no word tells apart",
    outcome: "the livelier one is raw, by data",
    make: () => utf8(twoGyros()),
    check: (log) => {
      expect(channel(log, "gyroRaw", "roll")).toMatchObject({ header: "gyro b roll (deg/s)", how: "data" });
      expect(channel(log, "gyroFiltered", "roll").header).toBe("gyro a roll (deg/s)");
    },
  },
  {
    file: "inch-marks.csv",
    oddity: "inch marks: a double quote inside a cell or a note",
    outcome: "a letter like any other: it opens no quoted cell",
    make: () =>
      utf8(`# arms: 8"\npropeller,30"\n${extended(["note"], (row) => (row % 3 === 0 ? '30" prop' : "ok"))}`),
    check: (log) => {
      plain(log);
      expect(log.notes).toContainEqual({ key: "propeller", value: '30"' });
    },
  },
  {
    file: "extra-columns.csv",
    oddity: "columns that nobody needs",
    outcome: "named and skipped",
    make: () =>
      utf8(
        edit(write(), 0, (h) => `${h},barometer altitude (m),mode`)
          .split("\n")
          .map((l, i) => (i === 0 || l === "" ? l : `${l},12.5,HOLD`))
          .join("\n"),
      ),
    check: (log) => {
      same(log);
      expect(log.columns.filter((c) => c.role === null).map((c) => c.header)).toEqual([
        "barometer altitude (m)",
        "mode",
      ]);
    },
  },
  {
    file: "same-name-twice.csv",
    oddity: "one header twice",
    outcome: "the first is used, the other set aside with the reason",
    make: () =>
      utf8(
        write()
          .split("\n")
          .map((l) => (l === "" ? l : `${l},${l.split(",")[1]}`))
          .join("\n"),
      ),
    check: (log) =>
      expect(log.columns[5]).toMatchObject({
        role: null,
        why: expect.stringContaining("which is used") as string,
      }),
  },
  {
    file: "no-header.csv",
    oddity: "no header row",
    outcome: "error 65: a map is asked for",
    make: () => utf8(write({ header: null })),
    check: /no header row found.*--columns/,
  },
  {
    file: "no-gyro.csv",
    oddity: "no gyro",
    outcome: "error 65",
    make: () => utf8(write({ header: ["time (s)", "height", "speed north", "speed east", "throttle (%)"] })),
    check: /no gyro column found/,
  },
  {
    file: "few-rows.csv",
    oddity: "a handful of rows",
    outcome: "error 65",
    make: () => utf8(write({ rows: 5 })),
    check: /only 5 rows/,
  },
  {
    file: "empty.csv",
    oddity: "an empty file",
    outcome: "error 65",
    make: () => new Uint8Array(0),
    check: /empty/,
  },
  {
    file: "prose.txt",
    oddity: "prose",
    outcome: "error 65",
    make: () => utf8("Dear customer,\nthe craft flew well, see you soon.\n"),
    check: /no table of numbers found/,
  },
  {
    file: "binary.bin",
    oddity: "binary bytes",
    outcome: "error 65",
    make: () => deflateRawSync(Buffer.alloc(4096, "noise and more")),
    check: /no table of numbers found|no header row found/,
  },
  {
    file: "escapes.csv",
    oddity: "terminal escapes and direction marks in headers and notes",
    outcome: "taken off",
    make: () =>
      utf8(
        `# craft: \u001b[31mred\u202E\n${renamed(gyro("gyro raw roll (deg/s)\u001b[0m", "gyro raw pitch (deg/s)", "gyro raw yaw (deg/s)"))}`,
      ),
    check: (log) => expect(JSON.stringify([log.columns, log.notes])).not.toMatch(/\\u001b|\u202E/),
  },
];

function twoGyros(): string {
  const header = [
    "time (s)",
    ...["a", "b"].flatMap((set) => ["roll", "pitch", "yaw"].map((axis) => `gyro ${set} ${axis} (deg/s)`)),
    "throttle (%)",
  ];
  const rows = Array.from({ length: ROWS }, (_, r) => {
    const calm = [1, 2, 3].map((c) => 5 * Math.sin(r * 0.02 * c));
    const lively = calm.map((v, i) => v + 3 * Math.sin(r * 2.1 + i));
    return [value(0, r), ...calm.map((v) => v.toFixed(3)), ...lively.map((v) => v.toFixed(3)), 40].join(",");
  });
  return `${[header.join(","), ...rows].join("\n")}\n`;
}
