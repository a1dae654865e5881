import { InputError } from "../errors.js";

/** Most bytes of kept columns: beyond it a laptop's memory is at stake and the log should be cut. */
const MOST_KEPT_BYTES = 6 * 2 ** 30;

/**
 * Columns that grow with the rows. Pages of a large fresh array that were never written to cost no
 * memory, so a generous first size is free and nothing is copied when the guess holds; else the columns
 * grow one at a time by half.
 */
export class GrowingColumns {
  rows = 0;
  #columns: (Float32Array | Float64Array)[];
  readonly #doubles: readonly boolean[];
  readonly #file: string;

  /** @param doubles per column: true for double precision (time), false for single */
  constructor(doubles: readonly boolean[], expectedRows: number, file: string) {
    const capacity = Math.max(8192, Math.ceil(expectedRows));
    this.#doubles = doubles;
    this.#file = file;
    this.#columns = doubles.map((double) =>
      double ? new Float64Array(capacity) : new Float32Array(capacity),
    );
  }

  /** Appends the first `rows` values of every block. */
  append(block: readonly Float64Array[], rows: number): void {
    if (this.rows + rows > (this.#columns[0]?.length ?? 0)) this.#grow(this.rows + rows);
    const whole = rows === block[0]?.length;
    this.#columns.forEach((column, i) => {
      column.set(whole ? block[i]! : block[i]!.subarray(0, rows), this.rows);
    });
    this.rows += rows;
  }

  /** The columns at their final length; this object keeps nothing. */
  take(): (Float32Array | Float64Array)[] {
    const columns = this.#columns.map((column) => column.subarray(0, this.rows));
    this.#columns = [];
    return columns;
  }

  #grow(needed: number): void {
    const capacity = Math.ceil(Math.max(needed, this.rows * 1.5));
    const bytes = capacity * this.#doubles.reduce((sum, double) => sum + (double ? 8 : 4), 0);
    if (bytes > MOST_KEPT_BYTES)
      throw new InputError("content", `too many rows to hold (over ${this.rows})`, "cut the log into parts", {
        file: this.#file,
      });
    for (let i = 0; i < this.#columns.length; i++) {
      const grown = this.#doubles[i] ? new Float64Array(capacity) : new Float32Array(capacity);
      grown.set(this.#columns[i]!.subarray(0, this.rows));
      this.#columns[i] = grown;
    }
  }
}
