import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { errorLine } from "../../src/cli/error-line.js";
import { decodeLog } from "../../src/decode/decode.js";
import { InputError } from "../../src/errors.js";
import { FIXTURES, oddityTable, tableInDocs, writeFixtures } from "./make-fixtures.js";
import { ODDITIES } from "./oddities.js";

if (process.env["WRITE_FIXTURES"] === "1") writeFixtures();

test.each(ODDITIES.map((o) => [o.oddity, o.outcome, o] as const))(
  "%s: %s",
  async (_oddity, _outcome, { file, options, check }) => {
    const bytes = readFileSync(join(FIXTURES, file));
    const decoding = decodeLog(bytes, { file, ...options });
    if (check instanceof RegExp) {
      const error = await decoding.then(
        () => null,
        (e: unknown) => e,
      );
      expect(error).toBeInstanceOf(InputError);
      expect((error as InputError).kind).toBe("content");
      expect(errorLine(error)).toMatch(check);
      expect(errorLine(error)).toContain(file);
    } else check(await decoding);
  },
);

test.each(ODDITIES.filter((o) => !(o.check instanceof RegExp)).map((o) => [o.file, o] as const))(
  "%s reads the same in chunks of any size",
  async (file, { options }) => {
    const bytes = readFileSync(join(FIXTURES, file));
    const whole = await decodeLog(bytes, { file, ...options });
    for (const size of [1, 7, 1000]) {
      async function* chunks(): AsyncGenerator<Uint8Array> {
        for (let at = 0; at < bytes.length; at += size) yield bytes.subarray(at, at + size);
      }
      if (size === 1 && bytes.length > 20_000) continue;
      expect(await decodeLog(chunks(), { file, ...options })).toEqual(whole);
    }
  },
);

test("every fixture file belongs to a row, at least forty of them, and the docs hold the table", () => {
  expect(readdirSync(FIXTURES).sort()).toEqual(ODDITIES.map((o) => o.file).sort());
  expect(ODDITIES.length).toBeGreaterThanOrEqual(40);
  expect(tableInDocs()).toBe(oddityTable());
});
