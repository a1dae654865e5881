import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { gunzipSync, gzipSync } from "node:zlib";
import { afterAll, beforeAll, expect, test } from "vitest";
import { decodeLog } from "../../src/decode/decode.js";
import { readLog } from "../../src/io/read-log.js";

/** A file is read into one buffer over and over; what the decoder keeps of a chunk must be a copy. */
const SAMPLE = join(import.meta.dirname, "../../samples/heavy-lifter-quiet.csv.gz");
const text = gunzipSync(readFileSync(SAMPLE));
let folder = "";

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "buffer-"));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

test.each([
  ["plain", "log.csv", text],
  ["packed", "log.csv.gz", gzipSync(text)],
  ["UTF-16", "log16.csv", Buffer.from(`\uFEFF${text.toString("utf8")}`, "utf16le")],
] as const)(
  "a %s file larger than the reading buffer gives the same log as its bytes",
  async (_kind, name, bytes) => {
    const path = join(folder, name);
    writeFileSync(path, bytes);
    const fromFile = await decodeLog(readLog(path), { file: name });
    const fromBytes = await decodeLog(bytes, { file: name });
    expect(fromFile.rows).toBe(47_000);
    expect(fromFile.warnings).toEqual([]);
    expect(fromFile).toEqual(fromBytes);
  },
);

test("a log fed in one reused buffer of any size reads like its bytes", async () => {
  const part = text.subarray(0, 400_000);
  const whole = await decodeLog(part, { file: "p.csv" });
  for (const size of [1000, 4096, 65_537]) {
    async function* reused(): AsyncGenerator<Uint8Array> {
      const buffer = Buffer.alloc(size);
      for (let at = 0; at < part.length; at += size) {
        const length = part.copy(buffer, 0, at, at + size);
        yield buffer.subarray(0, length);
        buffer.fill(0x37);
      }
    }
    expect(await decodeLog(reused(), { file: "p.csv" })).toEqual(whole);
  }
});
