import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { gunzipSync, gzipSync } from "node:zlib";
import { parse } from "csv-parse/sync";
import fc from "fast-check";
import { expect, test } from "vitest";
import { decodeLog } from "../../src/decode/decode.js";
import type { Dialect } from "../../src/decode/dialect.js";
import { NUMBER, Scanner } from "../../src/decode/scan.js";
import { InputError } from "../../src/errors.js";

/** All values of one column, by the scanner. */
function scanned(cells: readonly string[], dialect: Partial<Dialect> = {}): number[] {
  const plan = {
    dialect: { delimiter: ",", decimalComma: false, newline: 10, ...dialect } as Dialect,
    kinds: Uint8Array.of(NUMBER, NUMBER),
    readStamp: () => Number.NaN,
  };
  const out: number[] = [];
  const scanner = new Scanner(
    plan,
    (columns, rows) => out.push(...columns[1]!.subarray(0, rows)),
    () => "data",
  );
  const bytes = Buffer.from(cells.map((cell) => `0${plan.dialect.delimiter}${cell}\n`).join(""), "latin1");
  scanner.scan(bytes, 0, bytes.length);
  scanner.flush();
  return out;
}

/** Decimal texts of every shape: short, long, near 2^53, with exponents, signs and blanks. */
const decimal = fc
  .record({
    sign: fc.constantFrom("", "-", "+"),
    whole: fc.oneof(fc.nat().map(String), fc.stringMatching(/^\d{1,25}$/), fc.constant("")),
    part: fc.option(fc.stringMatching(/^\d{0,25}$/), { nil: null }),
    exponent: fc.option(fc.integer({ min: -320, max: 320 }), { nil: null }),
    pad: fc.constantFrom("", " ", "  "),
  })
  .filter(({ whole, part }) => whole !== "" || (part ?? "") !== "")
  .map(
    ({ sign, whole, part, exponent, pad }) =>
      `${pad}${sign}${whole}${part === null ? "" : `.${part}`}${exponent === null ? "" : `e${exponent}`}${pad}`,
  );

test("the scanner gives for every decimal text the double that Number(text) gives", () => {
  fc.assert(
    fc.property(fc.array(decimal, { minLength: 1, maxLength: 40 }), (texts) => {
      const values = scanned(texts);
      texts.forEach((text, i) => {
        if (!Object.is(values[i], Number(text)))
          throw new Error(`${text}: ${values[i]} is not ${Number(text)}`);
      });
    }),
    { numRuns: 2000, seed: 20260301 },
  );
});

test("the scanner gives back every double written out in full", () => {
  fc.assert(
    fc.property(
      fc.array(fc.double({ noNaN: true, noDefaultInfinity: true }), { minLength: 1, maxLength: 60 }),
      (numbers) => {
        const values = scanned(numbers.map((n) => (Object.is(n, -0) ? "-0" : String(n))));
        return numbers.every((n, i) => Object.is(values[i], n));
      },
    ),
    { numRuns: 1500, seed: 20260302 },
  );
});

test("with decimal commas the same numbers come out", () => {
  const texts = ["1,5", "-0,25", "3", "+12,000001", "1,25e-3"];
  expect(scanned(texts, { delimiter: ";", decimalComma: true })).toEqual(
    texts.map((t) => Number(t.replace(",", "."))),
  );
});

const SAMPLES = join(import.meta.dirname, "../../samples");
test.each(readdirSync(SAMPLES).filter((name) => name.endsWith(".csv.gz")))(
  "%s: every kept cell is the single nearest to what csv-parse and Number read",
  async (name) => {
    const bytes = readFileSync(join(SAMPLES, name));
    const log = await decodeLog(bytes, { file: name });
    const text = gunzipSync(bytes).toString("utf8");
    const body = text.slice(text.search(/^[^#\n]*(gyro|rate x)/im));
    const semicolons = body.split("\n")[0]!.includes(";");
    const rows = parse(body, {
      delimiter: semicolons ? ";" : ",",
      from_line: 2,
      relax_column_count: true,
    }) as string[][];
    expect(log.rows).toBe(rows.length);
    for (const { index, scale, offset, values } of log.channels) {
      for (let i = 0; i < rows.length; i += 7) {
        const cell = Number(semicolons ? rows[i]![index]!.replace(",", ".") : rows[i]![index]);
        const expected = Math.fround((Math.fround(cell) - offset) * scale);
        if (!Object.is(values[i], expected))
          throw new Error(`row ${i}, column ${index}: ${values[i]} is not ${expected}`);
      }
    }
  },
);

const DIALECTS = [",", ";", "\t", "|", " "] as const;

test("any table of numbers in any dialect reads back equal", async () => {
  const table = fc.record({
    delimiter: fc.constantFrom(...DIALECTS),
    newline: fc.constantFrom("\n", "\r\n"),
    comma: fc.boolean(),
    packed: fc.boolean(),
    rows: fc.array(fc.tuple(...[1, 2, 3].map(() => fc.double({ min: -2000, max: 2000, noNaN: true }))), {
      minLength: 20,
      maxLength: 60,
    }),
  });
  await fc.assert(
    fc.asyncProperty(table, async ({ delimiter, newline, comma, rows }) => {
      const decimalComma = comma && (delimiter === ";" || delimiter === "\t");
      const plain = (n: number): string => (Object.is(n, -0) ? "-0" : String(n));
      const text = (n: number): string => (decimalComma ? plain(n).replace(".", ",") : plain(n));
      const header = ["time_us", "gyro_raw_roll_dps", "gyro_raw_pitch_dps", "gyro_raw_yaw_dps"].join(
        delimiter,
      );
      const lines = rows.map((row, i) => [i * 500, ...row].map((n) => text(n)).join(delimiter));
      const log = await decodeLog(Buffer.from([header, ...lines, ""].join(newline)), { file: "p.csv" });
      const axes = ["roll", "pitch", "yaw"] as const;
      return (
        log.rows === rows.length &&
        axes.every((axis, k) => {
          const values = log.channels.find((c) => c.axis === axis)!.values;
          return rows.every((row, i) => Object.is(values[i], Math.fround(row[k]!)));
        })
      );
    }),
    { numRuns: 300, seed: 20260303 },
  );
});

test("any bytes give a log or the documented error, nothing else", async () => {
  const odd = fc.oneof(
    fc.uint8Array({ maxLength: 600 }),
    fc.string({ unit: "binary", maxLength: 400 }).map((s) => Buffer.from(s, "utf8")),
    fc
      .array(
        fc.constantFrom(
          "time (us)",
          "gyro raw roll",
          "gyro x dps",
          "1",
          "-2.5e3",
          ",",
          ";",
          "\t",
          "\n",
          "\r\n",
          '"',
          "nan",
          "",
          "#",
          "2026-01-01T00:00:00Z",
          "\u0000",
          "é",
        ),
        { maxLength: 300 },
      )
      .map((parts) => Buffer.from(parts.join(""), "utf8")),
  );
  await fc.assert(
    fc.asyncProperty(odd, async (bytes) => {
      try {
        await decodeLog(bytes, { file: "odd.bin" });
      } catch (error) {
        if (!(error instanceof InputError) || error.kind !== "content") throw error;
      }
    }),
    { numRuns: 3000, seed: 20260304 },
  );
});

test("decodeLog reads a packed log from a reader that writes every chunk into one buffer", async () => {
  const lines = Array.from({ length: 40_000 }, (_, i) => `${i / 1000},${(20 * Math.sin(i * i)).toFixed(3)}`);
  const packed = gzipSync(Buffer.from(["time (s),gyro raw roll (deg/s)", ...lines].join("\n")));
  async function* reused(): AsyncGenerator<Uint8Array> {
    const buffer = Buffer.alloc(32 * 1024);
    for (let at = 0; at < packed.length; at += buffer.length) {
      const bytes = packed.copy(buffer, 0, at, at + buffer.length);
      yield buffer.subarray(0, bytes);
    }
  }
  const log = await decodeLog(reused(), { file: "f.csv.gz" });
  expect(log.warnings).toEqual([]);
  expect(log.rows).toBe(40_000);
});

test.each([
  ["a line of one open quote and blanks", `"${" a".repeat(100_000)}\n`],
  ["nothing but quotes", '"'.repeat(300_000)],
  ["an open quote on every line", '"a,1\n'.repeat(60_000)],
  ["nothing but delimiters", `${",".repeat(300_000)}\n`.repeat(2)],
  ["nothing but remarks", "#\n".repeat(200_000)],
  ["one endless number", `time,gyro x\n0,1\n1,2\n2,${"1".repeat(500_000)}`],
])("decodeLog ends soon on %s", async (_what, text) => {
  const started = performance.now();
  await expect(decodeLog(Buffer.from(text), { file: "f.csv" })).rejects.toBeInstanceOf(InputError);
  // Linear in the length: a tenth of this here; quadratic took ten times as long.
  expect(performance.now() - started).toBeLessThan(3000);
});
