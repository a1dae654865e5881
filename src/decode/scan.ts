import { cellKind, cellNumber } from "./cell.js";
import type { Dialect } from "./dialect.js";

/** Rows per block: small enough for the cache, large enough that the hand-over costs nothing. */
export const BLOCK_ROWS = 4096;

/** What to do with each column of the file. */
export const SKIP = 0;
export const NUMBER = 1;
export const STAMP = 2;

/** What the scanner needs to know about the table. */
export interface ScanPlan {
  readonly dialect: Dialect;
  /** SKIP, NUMBER or STAMP per column; its length is the number of cells that a row must have. */
  readonly kinds: Uint8Array;
  /** Reads a wall-clock stamp to seconds, NaN when it is none. */
  readonly readStamp: (text: string) => number;
}

/** Takes finished rows: `columns[slot][row]`, exact doubles, valid until the call returns. */
export type BlockSink = (columns: readonly Float64Array[], rows: number) => void;

/** How often something odd was met, and where first. */
export class OddCount {
  count = 0;
  row: number | null = null;
  note(row: number): void {
    this.count++;
    this.row ??= row;
  }
}

/** Odd things counted while scanning; `row` is the line of the file, from 1. */
export interface ScanCounts {
  readonly ragged: OddCount;
  readonly notNumber: OddCount;
}

/** How a line that does not begin like a number is to be treated. */
export type OddLine = (text: string, line: number) => "skip" | "data";

/** How many odd lines are remembered, to name the lines of rows. */
const MOST_STEPS = 100_000;

const LF = 10;
const CR = 13;
const QUOTE = 34;
const POWERS = Float64Array.from({ length: 23 }, (_, k) => Number(`1e${k}`));
const latin1 = new TextDecoder("latin1");

/**
 * Turns the bytes of complete lines into columns of doubles, without making strings.
 *
 * A decimal number whose digits form an integer m ≤ 2^53 and whose decimal exponent lies within ±22 is
 * m × 10^k or m ÷ 10^k with both operands exact, so one correctly rounded operation gives the double
 * nearest to the text, the same as `Number(text)` (W. D. Clinger, "How to read floating point numbers
 * accurately", PLDI 1990). Everything else goes through `Number(text)` itself.
 *
 * A row whose number of cells is not the table's is left out whole and counted: nothing is shifted.
 */
export class Scanner {
  /** Line of the file that comes next, from 1. */
  line = 1;
  /** Rows handed on so far, those waiting in the block included. */
  rows = 0;
  /** Where lines and rows fall out of step: from row `row` (from 0) on, row i is line `line + i − row`. */
  readonly #steps: { readonly row: number; readonly line: number }[] = [];
  #expected = -1;
  readonly counts: ScanCounts = { ragged: new OddCount(), notNumber: new OddCount() };
  readonly #plan: ScanPlan;
  readonly #block: Float64Array[];
  readonly #slots: Int32Array;
  readonly #sink: BlockSink;
  readonly #oddLine: OddLine;
  /** 0 where a line may be scanned at once, 1 where its first byte asks for a closer look. */
  readonly #firstByte: Uint8Array;
  #row = 0;

  constructor(plan: ScanPlan, sink: BlockSink, oddLine: OddLine) {
    this.#plan = plan;
    this.#sink = sink;
    this.#oddLine = oddLine;
    let slots = 0;
    this.#slots = Int32Array.from(plan.kinds, (kind) => (kind === SKIP ? -1 : slots++));
    this.#block = Array.from({ length: slots }, () => new Float64Array(BLOCK_ROWS));
    this.#firstByte = new Uint8Array(256).fill(1);
    for (const c of "0123456789.") this.#firstByte[c.charCodeAt(0)] = 0;
    for (const c of "+- ") this.#firstByte[c.charCodeAt(0)] = 0;
    if (plan.dialect.delimiter !== " ") this.#firstByte[plan.dialect.delimiter.charCodeAt(0)] = 0;
  }

  /**
   * Scans complete lines.
   *
   * @param bytes
   * @param from first byte of a line
   * @param to just behind a line end
   * @returns `to`, or the start of the first line that holds a double quote
   */
  scan(bytes: Uint8Array, from: number, to: number): number {
    const { kinds, dialect } = this.#plan;
    const { newline, decimalComma } = dialect;
    const blanks = dialect.delimiter === " ";
    const delimiter = blanks ? 32 : dialect.delimiter.charCodeAt(0);
    const point = decimalComma ? 44 : 46;
    const cells = kinds.length;
    const slots = this.#slots;
    const block = this.#block;
    let p = from;
    while (p < to) {
      const start = p;
      if (this.#firstByte[bytes[p]!] === 1) {
        const end = bytes.indexOf(newline, p);
        const look = this.#look(bytes, start, end);
        if (look === "quote") return start;
        if (look === "skip") {
          p = end + 1;
          this.line++;
          continue;
        }
      }
      const row = this.#row;
      let cell = 0;
      let c = 0;
      if (blanks) while (bytes[p] === 32 || bytes[p] === 9) p++;
      // One turn per cell; c is the byte that ended it.
      for (;;) {
        const kind = cell < cells ? kinds[cell]! : SKIP;
        const cellStart = p;
        c = bytes[p]!;
        if (kind === NUMBER) {
          // Blanks, sign
          while (c === 32) c = bytes[++p]!;
          let negative = false;
          if (c === 45) {
            negative = true;
            c = bytes[++p]!;
          } else if (c === 43) c = bytes[++p]!;
          // Digits, point, digits
          const firstDigit = p;
          let mantissa = 0;
          let digit = c - 48;
          while (digit >= 0 && digit <= 9) {
            mantissa = mantissa * 10 + digit;
            digit = (c = bytes[++p]!) - 48;
          }
          let digits = p - firstDigit;
          let scale = 0;
          if (c === point) {
            const firstDecimal = ++p;
            digit = (c = bytes[p]!) - 48;
            while (digit >= 0 && digit <= 9) {
              mantissa = mantissa * 10 + digit;
              digit = (c = bytes[++p]!) - 48;
            }
            scale = p - firstDecimal;
            digits += scale;
          }
          // Exponent
          if ((c === 101 || c === 69) && digits > 0) {
            let q = p + 1;
            let minus = false;
            if (bytes[q] === 45) {
              minus = true;
              q++;
            } else if (bytes[q] === 43) q++;
            const firstExponent = q;
            let exponent = 0;
            digit = bytes[q]! - 48;
            while (digit >= 0 && digit <= 9 && q - firstExponent < 5) {
              exponent = exponent * 10 + digit;
              digit = bytes[++q]! - 48;
            }
            if (q > firstExponent) {
              scale -= minus ? -exponent : exponent;
              p = q;
              c = bytes[p]!;
            }
          }
          while (c === 32 && !blanks) c = bytes[++p]!;
          if (c === CR && newline === LF) c = bytes[++p]!;
          const ended = c === delimiter || c === newline || (blanks && c === 9);
          if (ended && digits > 0 && mantissa <= 9007199254740991 && scale <= 22 && scale >= -22) {
            const value =
              scale === 0 ? mantissa : scale > 0 ? mantissa / POWERS[scale]! : mantissa * POWERS[-scale]!;
            block[slots[cell]!]![row] = negative ? -value : value;
          } else if (ended && p === cellStart) {
            block[slots[cell]!]![row] = Number.NaN;
          } else {
            while (c !== delimiter && c !== newline && c !== QUOTE && !(blanks && c === 9)) c = bytes[++p]!;
            if (c === QUOTE) return start;
            block[slots[cell]!]![row] = this.#oddCell(bytes, cellStart, p);
          }
        } else {
          while (c !== delimiter && c !== newline && c !== QUOTE && !(blanks && c === 9)) c = bytes[++p]!;
          if (c === QUOTE) return start;
          if (kind === STAMP) block[slots[cell]!]![row] = this.#stamp(bytes, cellStart, p);
          // Cells past the table's width may be empty (a trailing delimiter), else the row is ragged.
          else if (cell >= cells && blankCell(bytes, cellStart, p)) cell--;
        }
        if (blanks) {
          while (c === 32 || c === 9) c = bytes[++p]!;
          if (c === CR && newline === LF) c = bytes[++p]!;
        }
        cell++;
        if (c === newline) break;
        if (!blanks) p++;
      }
      p++;
      if (cell === cells) {
        if (this.line !== this.#expected) this.#note(this.line);
        this.#expected++;
        this.rows++;
        if (++this.#row === BLOCK_ROWS) this.flush();
      } else if (!(cell <= 1 && blankCell(bytes, start, p - 1))) this.counts.ragged.note(this.line);
      this.line++;
    }
    return p;
  }

  /** Takes one row whose cells are text already (a quoted line read by csv-parse). */
  addRow(cells: readonly string[], line: number): void {
    const { kinds, dialect, readStamp } = this.#plan;
    let width = cells.length;
    while (width > kinds.length && cells[width - 1]!.trim() === "") width--;
    if (width !== kinds.length) {
      if (!(width <= 1 && (cells[0] ?? "").trim() === "")) this.counts.ragged.note(line);
      return;
    }
    for (let cell = 0; cell < width; cell++) {
      const slot = this.#slots[cell]!;
      if (slot < 0) continue;
      const text = cells[cell]!;
      const stamp = kinds[cell] === STAMP;
      const value = stamp ? readStamp(text.trim()) : cellNumber(text, dialect.decimalComma);
      if (Number.isNaN(value) && cellKind(text, dialect.decimalComma) === "text")
        this.counts.notNumber.note(line);
      this.#block[slot]![this.#row] = value;
    }
    if (line !== this.#expected) this.#note(line);
    this.#expected++;
    this.rows++;
    if (++this.#row === BLOCK_ROWS) this.flush();
  }

  #note(line: number): void {
    this.#expected = line;
    if (this.#steps.length < MOST_STEPS) this.#steps.push({ row: this.rows, line });
  }

  /** Line of the file, from 1, of a row from 0; near enough after a hundred thousand odd lines. */
  lineOf(row: number): number {
    const step = this.#steps.findLast((s) => s.row <= row);
    return step === undefined ? row + 1 : step.line + row - step.row;
  }

  /** Hands on the rows that wait in the block. */
  flush(): void {
    if (this.#row > 0) this.#sink(this.#block, this.#row);
    this.#row = 0;
  }

  #look(bytes: Uint8Array, from: number, end: number): "quote" | "skip" | "data" {
    if (end === from) return "skip";
    const text = bytes.subarray(from, end);
    if (text.includes(QUOTE)) return "quote";
    return this.#oddLine(latin1.decode(text.subarray(0, 100_000)), this.line);
  }

  #oddCell(bytes: Uint8Array, from: number, to: number): number {
    if (isNan(bytes, from, to)) return Number.NaN;
    const text = latin1.decode(bytes.subarray(from, Math.min(to, from + 400)));
    const comma = this.#plan.dialect.decimalComma;
    const value = cellNumber(text, comma);
    if (Number.isNaN(value) && cellKind(text, comma) === "text") this.counts.notNumber.note(this.line);
    return value;
  }

  #stamp(bytes: Uint8Array, from: number, to: number): number {
    const text = latin1.decode(bytes.subarray(from, Math.min(to, from + 100))).trim();
    const value = this.#plan.readStamp(text);
    if (Number.isNaN(value) && text !== "") this.counts.notNumber.note(this.line);
    return value;
  }
}

/** "nan" in any case, the commonest cell that is no number. */
function isNan(bytes: Uint8Array, from: number, to: number): boolean {
  const end = to > from && bytes[to - 1] === CR ? to - 1 : to;
  return (
    end - from === 3 &&
    (bytes[from]! | 32) === 110 &&
    (bytes[from + 1]! | 32) === 97 &&
    (bytes[from + 2]! | 32) === 110
  );
}

function blankCell(bytes: Uint8Array, from: number, to: number): boolean {
  for (let i = from; i < to; i++) if (bytes[i] !== 32 && bytes[i] !== 9 && bytes[i] !== CR) return false;
  return true;
}
