import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { columnMapFrom, describeColumns, parseColumnMap } from "../../src/decode/column-map.js";
import { decodeLog } from "../../src/decode/decode.js";
import { InputError } from "../../src/errors.js";
import { schemaErrors } from "../../src/io/schema.js";
import { write } from "./table.js";

const SAMPLES = join(import.meta.dirname, "../../samples");

test.each(readdirSync(SAMPLES).filter((name) => name.endsWith(".csv.gz")))(
  "%s: the map made from a reading round-trips",
  async (file) => {
    const bytes = readFileSync(join(SAMPLES, file));
    const log = await decodeLog(bytes, { file });
    const map = columnMapFrom(log);
    expect(await schemaErrors("column-map", map)).toEqual([]);
    const again = await decodeLog(bytes, {
      file,
      columnMap: await parseColumnMap(JSON.stringify(map), "map.json"),
    });
    expect(again.time).toEqual(log.time);
    for (const { role, axis, motor, values, electrical } of log.channels) {
      const twin = again.channels.find((c) => c.role === role && c.axis === axis && c.motor === motor);
      expect(twin?.values).toEqual(values);
      expect(twin?.electrical).toBe(electrical);
    }
  },
);

test("a map wins over headers, and reads a file without any", async () => {
  const columnMap = {
    columns: [
      { column: 1, role: "time", unit: "s", scale: 1 },
      { column: 2, role: "gyroFiltered", axis: "yaw", unit: "counts", scale: 0.061 },
    ],
  } as const;
  const log = await decodeLog(Buffer.from(write({ header: null })), { file: "a.csv", columnMap });
  expect(log.channels.map((c) => [c.role, c.axis, c.how])).toEqual([["gyroFiltered", "yaw", "map"]]);
});

test.each([
  ["{", /not valid JSON/],
  ["[]", /column map/],
  ['{"columns":[{"header":"a","role":"nose","unit":"s","scale":1}]}', /role/],
])("parseColumnMap(%s) says what is wrong", async (text, message) => {
  await expect(parseColumnMap(text, "map.json")).rejects.toThrow(message);
  await expect(parseColumnMap(text, "map.json")).rejects.toBeInstanceOf(InputError);
});

test("a map that names a column the log does not have is an error", async () => {
  const columnMap = {
    columns: [{ header: "nowhere", role: "gyroRaw", axis: "roll", unit: "deg/s", scale: 1 }],
  } as const;
  await expect(decodeLog(Buffer.from(write()), { file: "a.csv", columnMap })).rejects.toThrow(/nowhere/);
});

test("describeColumns(log) lists every column with its reason", async () => {
  const rows = describeColumns(await decodeLog(Buffer.from(write()), { file: "a.csv" }));
  expect(rows.map((r) => r.takenFor)).toEqual([
    "time",
    "gyroRaw roll",
    "gyroRaw pitch",
    "gyroRaw yaw",
    "throttle",
  ]);
  expect(rows.every((r) => r.why !== "")).toBe(true);
});
