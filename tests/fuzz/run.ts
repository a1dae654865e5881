import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { Session } from "node:inspector/promises";
import { join } from "node:path";
import { randomStream } from "../../simulator/random.js";
import { decodeLog } from "../../src/decode/decode.js";
import { InputError } from "../../src/errors.js";
import { toTimeline } from "../../src/timeline/to-timeline.js";

/**
 * Coverage-guided fuzzing of decoder and timeline: inputs are mutated fixtures; an input that reaches code no other
 * reached joins the corpus. Anything thrown but the documented error, or a run over ten seconds, is a finding.
 *
 *   npm run fuzz -- --seconds 30 [--seed 1]
 */
const FIXTURES = join(import.meta.dirname, "../fixtures/decode");
const option = (name: string, otherwise: number): number => {
  const at = process.argv.indexOf(name);
  return at < 0 ? otherwise : Number(process.argv[at + 1]);
};
const seconds = option("--seconds", 30);
const seed = option("--seed", 1);
const random = randomStream(seed, "fuzz");
const pick = <T>(list: readonly T[]): T => list[Math.floor(random.uniform() * list.length)]!;
const below = (n: number): number => Math.floor(random.uniform() * n);

const WORDS = [
  "time (us)",
  "gyro raw roll (deg/s)",
  "d term",
  "rpm",
  '"',
  ",",
  ";",
  "\t",
  "\n",
  "\r\n",
  "\r",
  "nan",
  "-",
  "1e308",
  "-1e-320",
  "99999999999999999999",
  "0x10",
  "\u0000",
  "\uFEFF",
  "2026-01-01T00:00:00Z",
  "#",
  "  ",
  "é",
  "1,5",
  "\u001f\u008b\b",
].map((w) => Buffer.from(w, "utf8"));
const LARGEST = 64 * 1024;

function mutated(corpus: readonly Buffer[]): Buffer {
  let bytes = Buffer.from(pick(corpus));
  for (let n = 1 + below(6); n > 0; n--) bytes = Buffer.from(pick(MUTATIONS)(bytes, corpus));
  return bytes.subarray(0, LARGEST);
}

type Mutation = (b: Buffer, corpus: readonly Buffer[]) => Uint8Array;
const splice = (b: Buffer, at: number, remove: number, insert: Uint8Array): Uint8Array =>
  Buffer.concat([b.subarray(0, at), insert, b.subarray(at + remove)]);
const MUTATIONS: readonly Mutation[] = [
  (b) => {
    if (b.length > 0) b[below(b.length)] = below(256);
    return b;
  },
  (b) => splice(b, below(b.length + 1), 0, pick(WORDS)),
  (b) => splice(b, below(b.length + 1), below(40), new Uint8Array(0)),
  (b) => {
    const from = below(b.length + 1);
    return splice(b, below(b.length + 1), 0, b.subarray(from, from + below(400)));
  },
  (b, corpus) => {
    const other = pick(corpus);
    return Buffer.concat([b.subarray(0, below(b.length + 1)), other.subarray(below(other.length + 1))]);
  },
  (b) => b.subarray(0, below(b.length + 1)),
  (b) =>
    Buffer.from(
      b.toString("latin1").replaceAll(pick([",", "\n", ".", "0"]), pick([";", "\t", "", " ", ",,", "\r\n"])),
      "latin1",
    ),
];

/** Runs one input; returns what was found, or null. */
async function run(bytes: Buffer): Promise<string | null> {
  const started = performance.now();
  try {
    toTimeline(await decodeLog(bytes, { file: "fuzz.csv", maxExpandedBytes: 2e6 }));
  } catch (error) {
    if (!(error instanceof InputError) || error.kind !== "content")
      return error instanceof Error ? (error.stack ?? error.message) : String(error);
  }
  const ms = performance.now() - started;
  return ms > 10_000 ? `took ${ms.toFixed(0)} ms` : null;
}

const session = new Session();
session.connect();
await session.post("Profiler.enable");
await session.post("Profiler.startPreciseCoverage", { callCount: false, detailed: true });
const seen = new Set<string>();

/** How many blocks of the decoder ran for the first time since the last call. */
async function freshBlocks(): Promise<number> {
  const { result } = (await session.post("Profiler.takePreciseCoverage")) as unknown as {
    result: {
      url: string;
      functions: { ranges: { startOffset: number; endOffset: number; count: number }[] }[];
    }[];
  };
  let fresh = 0;
  for (const { url, functions } of result) {
    if (!/src\/(decode|timeline)\//.test(url)) continue;
    for (const { ranges } of functions) {
      for (const { startOffset, endOffset, count } of ranges) {
        const key = `${url}:${startOffset}:${endOffset}`;
        if (count === 0 || seen.has(key)) continue;
        seen.add(key);
        fresh++;
      }
    }
  }
  return fresh;
}

const corpus: Buffer[] = readdirSync(FIXTURES).map((name) => readFileSync(join(FIXTURES, name)));
for (const bytes of corpus) await run(bytes);
await freshBlocks();
const end = Date.now() + seconds * 1000;
let runs = 0;
const grown = corpus.length;
const findings = new Map<string, Uint8Array>();
const BATCH = 25;
while (Date.now() < end) {
  const batch = Array.from({ length: BATCH }, () => mutated(corpus));
  for (const bytes of batch) {
    const found = await run(bytes);
    runs++;
    if (found !== null) findings.set(found.split("\n").slice(0, 2).join(" "), bytes);
  }
  // Coverage is dear: a batch that reached something new joins as a whole.
  if ((await freshBlocks()) > 0) corpus.push(...batch.filter((b) => b.length < 16_384).slice(0, 8));
}
console.log(
  `fuzz: ${runs} inputs in ${seconds} s, ${seen.size} blocks reached, corpus ${grown} + ${corpus.length - grown}, ${findings.size} findings (seed ${seed})`,
);
for (const [what, bytes] of findings) {
  const name = createHash("sha256").update(bytes).digest("hex").slice(0, 12);
  // Whole and in base64: control bytes would be lost on a terminal, and half an input shows nothing.
  console.log(`\n${name}: ${what}\n${Buffer.from(bytes).toString("base64")}`);
}
process.exitCode = findings.size > 0 ? 1 : 0;
session.disconnect();
