import { createHash, type Hash } from "node:crypto";
import { createGunzip } from "node:zlib";
import { Decompress } from "fzstd";
import { InputError } from "../errors.js";
import type { DecodeWarning } from "./flight-log.js";

/** What a log of hours at the highest rates comes to. */
export const DEFAULT_EXPANDED_LIMIT = 2 * 2 ** 30;
/** Text logs shrink 3 to 20 times, with idle columns 40; past this factor an archive is taken for hostile unless the limit was raised. */
export const DEFAULT_EXPANSION_RATIO = 60;
/** Below this no ratio is asked. */
const RATIO_FREE_BYTES = 64 * 2 ** 20;
/** Packed bytes per step: gzip expands a thousandfold at most, so a step stays small. */
const PIECE = 16 * 1024;
const CRUMB = 32;

export interface UnpackOptions {
  readonly file: string;
  readonly maxExpandedBytes?: number | undefined;
  readonly onProgress?: ((bytes: number) => void) | undefined;
}

/** The bytes of a file, unpacked, with the digest of what was given. */
export class Unpacked {
  readonly warnings: DecodeWarning[] = [];
  /** True when an archive ended early: its last line is not whole. */
  cut = false;
  readonly #hash: Hash = createHash("sha256");
  readonly #source: AsyncIterable<Uint8Array> | Iterable<Uint8Array>;
  readonly #options: UnpackOptions;
  #given = 0;
  #expanded = 0;

  constructor(source: Uint8Array | AsyncIterable<Uint8Array>, options: UnpackOptions) {
    this.#source = source instanceof Uint8Array ? [source] : source;
    this.#options = options;
  }

  /** Lower-case hex; valid once all chunks were taken. */
  get sha256(): string {
    return this.#hash.copy().digest("hex");
  }

  /** The text's bytes in chunks: gunzipped or unpacked from zstd when the first bytes say so. */
  async *chunks(): AsyncGenerator<Uint8Array> {
    const given = this.#hashed();
    const first = await firstBytes(given, 4);
    const all = chain(first.chunks, given);
    if (first.magic === "gzip") yield* this.#limited(this.#gunzip(all));
    else if (first.magic === "zstd") yield* this.#limited(this.#unzstd(all));
    else yield* all;
  }

  async *#hashed(): AsyncGenerator<Uint8Array> {
    for await (const chunk of this.#source) {
      this.#hash.update(chunk);
      this.#given += chunk.length;
      this.#options.onProgress?.(this.#given);
      if (chunk.length > 0) yield chunk;
    }
  }

  async *#limited(chunks: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
    const { maxExpandedBytes, file } = this.#options;
    for await (const chunk of chunks) {
      this.#expanded += chunk.length;
      const ratioBroken =
        maxExpandedBytes === undefined &&
        this.#expanded > RATIO_FREE_BYTES &&
        this.#expanded > DEFAULT_EXPANSION_RATIO * this.#given;
      const limit = maxExpandedBytes ?? DEFAULT_EXPANDED_LIMIT;
      if (ratioBroken || this.#expanded > limit) {
        const what = ratioBroken
          ? `more than ${DEFAULT_EXPANSION_RATIO} times its size`
          : `more than ${limit} bytes`;
        throw new InputError(
          "content",
          `the archive expands to ${what}`,
          "raise --max-expanded if it is sound",
          { file },
        );
      }
      yield chunk;
    }
  }

  /** Feeds the inflater piece by piece and hands on all that each piece gave: a cut archive loses nothing. */
  async *#gunzip(packed: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
    const gunzip = createGunzip({ chunkSize: 64 * 1024 });
    let ready: Uint8Array[] = [];
    let failure: unknown = null;
    gunzip.on("data", (chunk: Uint8Array) => ready.push(chunk));
    let wake = (): void => {};
    gunzip.on("error", (error) => {
      failure ??= error;
      wake();
    });
    let any = false;
    const give = async (step: (done: () => void) => void): Promise<Uint8Array[]> => {
      await new Promise<void>((resolve) => {
        wake = resolve;
        step(resolve);
      });
      const out = ready;
      ready = [];
      any ||= out.length > 0;
      return out;
    };
    try {
      for await (const { bytes, size } of finerAtTheEnd(packed)) {
        for (let from = 0; from < bytes.length && failure === null; from += size) {
          yield* await give((done) => gunzip.write(bytes.subarray(from, from + size), () => done()));
        }
        if (failure !== null) break;
      }
      if (failure === null) yield* await give((done) => gunzip.once("end", done).end());
    } finally {
      gunzip.destroy();
    }
    if (failure !== null) this.#broken("gzip", failure, any);
  }

  async *#unzstd(packed: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
    let ready: Uint8Array[] = [];
    const zstd = new Decompress((chunk) => ready.push(chunk));
    let any = false;
    try {
      for await (const chunk of packed) {
        for (let from = 0; from < chunk.length; from += PIECE) {
          zstd.push(chunk.subarray(from, from + PIECE));
          any ||= ready.length > 0;
          yield* ready;
          ready = [];
        }
      }
      zstd.push(new Uint8Array(0), true);
      yield* ready;
    } catch (error) {
      if (!isZstdError(error)) throw error;
      yield* ready;
      this.#broken("zstd", error, any || ready.length > 0);
    }
  }

  /** An archive that is cut or damaged: what was read so far stands, and the log says so. */
  #broken(kind: string, error: unknown, any: boolean): void {
    const { file } = this.#options;
    const why = error instanceof Error ? error.message : String(error);
    if (!any)
      throw new InputError("content", `damaged ${kind} archive (${why})`, "export or copy the log again", {
        file,
      });
    this.cut = true;
    const message = `the ${kind} archive is cut or damaged (${why}): only the part before was read`;
    this.warnings.push({ id: "archive-cut", message, count: 1, row: null });
  }
}

/** fzstd's errors carry a numeric code; running out of its buffers shows as RangeError or TypeError. */
function isZstdError(error: unknown): error is Error {
  if (!(error instanceof Error) || error instanceof InputError) return false;
  return (
    typeof (error as Error & { code?: unknown }).code === "number" ||
    error instanceof RangeError ||
    error instanceof TypeError
  );
}

/**
 * The same bytes with the size of the pieces to feed: an inflater that fails keeps back what the piece had given,
 * and most that fail do so at the end (a wrong checksum, foreign bytes behind), so the end goes in crumbs.
 */
async function* finerAtTheEnd(
  packed: AsyncIterable<Uint8Array>,
): AsyncGenerator<{ bytes: Uint8Array; size: number }> {
  let held: Uint8Array = new Uint8Array(0);
  for await (const chunk of packed) {
    if (chunk.length >= PIECE) {
      yield { bytes: held, size: PIECE };
      yield { bytes: chunk.subarray(0, chunk.length - PIECE), size: PIECE };
      // A copy: the reader may write into the chunk again.
      held = Uint8Array.from(chunk.subarray(chunk.length - PIECE));
    } else {
      const joined = Buffer.concat([held, chunk]);
      const ready = Math.max(0, joined.length - PIECE);
      yield { bytes: joined.subarray(0, ready), size: PIECE };
      held = joined.subarray(ready);
    }
  }
  yield { bytes: held, size: CRUMB };
}

async function firstBytes(
  chunks: AsyncGenerator<Uint8Array>,
  count: number,
): Promise<{ chunks: Uint8Array[]; magic: "gzip" | "zstd" | null }> {
  const first: Uint8Array[] = [];
  let length = 0;
  while (length < count) {
    const next = await chunks.next();
    if (next.done) break;
    // A copy: the next read may fill the same buffer.
    first.push(Uint8Array.from(next.value));
    length += next.value.length;
  }
  const b = Buffer.concat(first.length === 1 ? [first[0]!.subarray(0, 16)] : first);
  const gzip = b[0] === 0x1f && b[1] === 0x8b;
  const frame = b[0] === 0x28 && b[1] === 0xb5 && b[2] === 0x2f && b[3] === 0xfd;
  // A skippable frame may come first (RFC 8878, 3.1.2).
  const skippable = ((b[0] ?? 0) & 0xf0) === 0x50 && b[1] === 0x2a && b[2] === 0x4d && b[3] === 0x18;
  const zstd = frame || skippable;
  return { chunks: first, magic: gzip ? "gzip" : zstd ? "zstd" : null };
}

async function* chain(
  first: readonly Uint8Array[],
  rest: AsyncIterable<Uint8Array>,
): AsyncGenerator<Uint8Array> {
  yield* first;
  yield* rest;
}
