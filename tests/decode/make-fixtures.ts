import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { ODDITIES } from "./oddities.js";

/** Writes the fixture files and the table of docs/decoding.md: `npx vitest run tests/decode/oddities -t writes --mode write`. */
export const FIXTURES = join(import.meta.dirname, "../fixtures/decode");
const DOCS = join(import.meta.dirname, "../../docs/decoding.md");
const MARK = [
  "<!-- oddities: begin (written by tests/decode/make-fixtures.ts) -->",
  "<!-- oddities: end -->",
] as const;

/** The table of odd inputs as the docs hold it. */
export function oddityTable(): string {
  const rows = ODDITIES.map(
    ({ file, oddity, outcome }) => `| ${oddity.replaceAll("|", "\\|")} | ${outcome} | \`${file}\` |`,
  );
  return ["| input | what happens | fixture |", "| --- | --- | --- |", ...rows].join("\n");
}

/** The part of the docs between the marks. */
export function tableInDocs(): string {
  const docs = readFileSync(DOCS, "utf8");
  return docs.slice(docs.indexOf(MARK[0]) + MARK[0].length, docs.indexOf(MARK[1])).trim();
}

export function writeFixtures(): void {
  mkdirSync(FIXTURES, { recursive: true });
  for (const { file, make } of ODDITIES) writeFileSync(join(FIXTURES, file), make());
  const docs = readFileSync(DOCS, "utf8");
  const [from, to] = [docs.indexOf(MARK[0]) + MARK[0].length, docs.indexOf(MARK[1])];
  writeFileSync(DOCS, `${docs.slice(0, from)}\n\n${oddityTable()}\n\n${docs.slice(to)}`);
}
