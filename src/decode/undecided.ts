import { InputError, type Place } from "../errors.js";
import type { ColumnMap } from "./column-map.js";

/** Nothing in header or data decides what a column is: the user is asked, with a map to start from. */
export class UndecidedError extends InputError {
  /** What would be read, best guesses where nothing decides; null when no column at all was recognised. */
  readonly candidate: ColumnMap | null;

  constructor(message: string, remedy: string, place: Place, candidate: ColumnMap | null) {
    super("content", message, remedy, place);
    this.candidate = candidate !== null && candidate.columns.length > 0 ? candidate : null;
  }
}
