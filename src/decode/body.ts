import { parse } from "csv-parse/sync";
import { InputError } from "../errors.js";
import { splitLine } from "./dialect.js";
import { OddCount, type Scanner, type ScanPlan } from "./scan.js";

/** Longest line, and longest run of lines inside one quoted cell, that is still taken for a table. */
const LONGEST_LINE = 4 * 2 ** 20;
const LONGEST_QUOTE = 2 ** 20;
const QUOTED_BATCH = 256 * 1024;
const QUOTE = 34;

/**
 * Feeds the scanner with complete lines, whatever the chunks; lines with quotes go through csv-parse and
 * come out as the same rows.
 */
export class Body {
  readonly unclosedQuote = new OddCount();
  readonly #scanner: Scanner;
  readonly #plan: ScanPlan;
  readonly #isOddRow: (cells: readonly string[]) => boolean;
  readonly #file: string;
  #carry: Uint8Array[] = [];
  #carried = 0;

  constructor(
    scanner: Scanner,
    plan: ScanPlan,
    file: string,
    isOddRow: (cells: readonly string[]) => boolean,
  ) {
    this.#scanner = scanner;
    this.#plan = plan;
    this.#file = file;
    this.#isOddRow = isOddRow;
  }

  /** Takes the next bytes of the text. */
  push(chunk: Uint8Array): void {
    const newline = this.#plan.dialect.newline;
    let from = 0;
    if (this.#carried > 0) {
      const end = chunk.indexOf(newline);
      if (end < 0) {
        this.#keep(chunk, 0);
        return;
      }
      const joined = Buffer.concat([...this.#carry, chunk.subarray(0, end + 1)]);
      this.#carry = [];
      this.#carried = 0;
      from = end + 1;
      const done = this.#lines(joined, false);
      // An open quote: what is left waits with all that follows.
      if (done < joined.length) {
        this.#keep(joined, done);
        this.#keepOpen(chunk, from);
        return;
      }
    }
    const last = chunk.lastIndexOf(newline) + 1;
    const done = last > from ? from + this.#lines(chunk.subarray(from, last), false) : from;
    if (done < chunk.length) this.#keep(chunk, done);
  }

  /** @param cut true: the last line may be cut and is not read unless a line end follows it */
  end(cut: boolean): void {
    const rest = Buffer.concat([...this.#carry, Uint8Array.of(this.#plan.dialect.newline)]);
    const whole = this.#carried > 0 && this.#carry.at(-1)!.at(-1) === this.#plan.dialect.newline;
    this.#carry = [];
    if (this.#carried > 0 && (!cut || whole)) this.#lines(rest, true);
    this.#scanner.flush();
  }

  #keep(chunk: Uint8Array, from: number): void {
    // A copy, never a view: the reader fills the same buffer again.
    this.#carry.push(Uint8Array.prototype.slice.call(chunk, from));
    this.#carried += chunk.length - from;
    if (this.#carried > LONGEST_LINE)
      throw new InputError(
        "content",
        "a line is longer than any table's",
        "check that this is a text export",
        {
          file: this.#file,
          row: this.#scanner.line,
        },
      );
  }

  /** More bytes while a quote is open: joined to the rest and tried again. */
  #keepOpen(chunk: Uint8Array, from: number): void {
    const rest = Buffer.concat([...this.#carry, chunk.subarray(from)]);
    this.#carry = [];
    this.#carried = 0;
    const last = rest.lastIndexOf(this.#plan.dialect.newline) + 1;
    const done = this.#lines(rest.subarray(0, last), false);
    if (done < rest.length) this.#keep(rest, done);
  }

  /** @returns bytes dealt with; fewer than all only while a quote is open and more may come */
  #lines(bytes: Uint8Array, last: boolean): number {
    let from = 0;
    while (from < bytes.length) {
      from = this.#scanner.scan(bytes, from, bytes.length);
      if (from >= bytes.length) break;
      const end = this.#quotedEnd(bytes, from);
      if (end !== null) this.#quoted(bytes.subarray(from, end));
      else if (!last && bytes.length - from < LONGEST_QUOTE) return from;
      else from = this.#literal(bytes, from);
      if (end !== null) from = end;
    }
    return from;
  }

  /** End of a run of lines in which every quote is closed, at most about a batch long; null while one is open. */
  #quotedEnd(bytes: Uint8Array, from: number): number | null {
    const { newline, delimiter: mark } = this.#plan.dialect;
    const delimiter = mark.charCodeAt(0);
    let end: number | null = null;
    let open = false;
    let any = false;
    // Only a quote at the start of a cell opens one; blanks before it are allowed.
    let cellStart = true;
    for (let p = from; p < bytes.length; p++) {
      const byte = bytes[p]!;
      if (byte === QUOTE) {
        any = true;
        if (!open) open = cellStart;
        else if (bytes[p + 1] === QUOTE) p++;
        else open = false;
      }
      cellStart = byte === delimiter || byte === newline || (cellStart && byte === 32);
      if (byte === newline && !open) {
        if (!any) break;
        end = p + 1;
        any = false;
        if (end - from > QUOTED_BATCH) break;
      }
      if (open && end !== null && p - end > 4096) break;
      if (p - from > LONGEST_QUOTE) break;
    }
    return end;
  }

  #quoted(bytes: Uint8Array): void {
    const { delimiter } = this.#plan.dialect;
    const text = Buffer.from(bytes).toString("latin1");
    if (delimiter === " ") {
      for (const line of text.split("\n").slice(0, -1)) this.#row(splitLine(line, " "));
      return;
    }
    try {
      const records = parse(text, {
        delimiter,
        relax_quotes: true,
        relax_column_count: true,
        record_delimiter: ["\r\n", "\n", "\r"],
        trim: true,
        info: true,
      }) as unknown as { record: string[]; info: { lines: number } }[];
      const first = this.#scanner.line;
      for (const { record, info } of records) {
        this.#row(record, first + info.lines - 1);
      }
      this.#scanner.line = first + countByte(bytes, this.#plan.dialect.newline);
    } catch {
      // Quotes that csv-parse cannot make sense of: the lines as they stand, counted.
      for (let from = 0; from < bytes.length; ) from = this.#literal(bytes, from);
    }
  }

  /** One line whose quote never closes, taken as it stands. */
  #literal(bytes: Uint8Array, from: number): number {
    const end = bytes.indexOf(this.#plan.dialect.newline, from);
    this.unclosedQuote.note(this.#scanner.line);
    const text = Buffer.from(bytes.subarray(from, end)).toString("latin1").replaceAll('"', "");
    this.#row(splitLine(text, this.#plan.dialect.delimiter));
    return end + 1;
  }

  #row(cells: readonly string[], line = this.#scanner.line++): void {
    if (!this.#isOddRow(cells)) this.#scanner.addRow(cells, line);
  }
}

function countByte(bytes: Uint8Array, byte: number): number {
  let count = 0;
  for (let p = bytes.indexOf(byte); p >= 0; p = bytes.indexOf(byte, p + 1)) count++;
  return count;
}
