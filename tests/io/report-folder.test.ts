import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, expect, test } from "vitest";
import { InputError } from "../../src/errors.js";
import { chooseFolder, folderName, writeFiles } from "../../src/io/report-folder.js";

let folder = "";
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "report-"));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

test("folderName(log) is the log's name without its endings, and never the log itself", () => {
  expect(folderName("flights/lifter-03.csv.gz")).toBe("lifter-03");
  expect(folderName("a.TXT")).toBe("a");
  expect(folderName("noending")).toBe("noending-report");
  expect(folderName(".csv")).toBe(".csv-report");
  expect(folderName("-")).toBe("stdin");
});

test("chooseFolder(log, asked) takes the folder asked for, else one beside the log", () => {
  expect(chooseFolder(join(folder, "a.csv"), "here")).toEqual({ folder: "here", fallback: false });
  expect(chooseFolder(join(folder, "a.csv"), undefined)).toEqual({
    folder: join(folder, "a"),
    fallback: false,
  });
});

test("chooseFolder(log) falls back to the current folder when a file is in the way", () => {
  writeFileSync(join(folder, "a"), "in the way");
  expect(chooseFolder(join(folder, "a.csv"), undefined)).toEqual({ folder: "a", fallback: true });
});

test("writeFiles(folder, files) writes all of them whole", () => {
  writeFiles(join(folder, "deep/er"), [
    { name: "a.txt", content: "A" },
    { name: "b.bin", content: new Uint8Array([1, 2]) },
  ]);
  expect(readdirSync(join(folder, "deep/er")).sort()).toEqual(["a.txt", "b.bin"]);
  expect(readFileSync(join(folder, "deep/er/a.txt"), "utf8")).toBe("A");
});

test("writeFiles(folder, files) leaves nothing half-written when one of them fails", () => {
  const before = [{ name: "a.txt", content: "old" }];
  writeFiles(folder, before);
  const write = (): void =>
    writeFiles(folder, [
      { name: "a.txt", content: "new" },
      { name: "no/such/place.txt", content: "x" },
    ]);
  expect(write).toThrow(InputError);
  expect(readFileSync(join(folder, "a.txt"), "utf8")).toBe("old");
  expect(readdirSync(folder)).toEqual(["a.txt"]);
  expect(existsSync(join(folder, ".a.txt.partial"))).toBe(false);
});
