/**
 * The one family of errors that a user can mend. Anything else that is thrown is a defect.
 *
 * `kind` decides the exit status (see src/cli/exit-status.ts):
 * - `usage`    an option or argument is wrong
 * - `content`  the bytes cannot be read as a flight log, a craft file or a column map
 * - `absent`   no such file, a directory, or not readable
 * - `output`   a result cannot be written
 */
export type InputErrorKind = "usage" | "content" | "absent" | "output";

/** Where in the input the trouble is; every part optional. Rows and columns count from 1. */
export interface Place {
  readonly file?: string;
  readonly row?: number;
  readonly column?: number | string;
}

export class InputError extends Error {
  override readonly name = "InputError";
  readonly kind: InputErrorKind;
  readonly place: Place;
  readonly remedy: string;

  /**
   * @param kind what went wrong, for the exit status
   * @param message what is wrong, lower case, no full stop: "no gyro column found"
   * @param remedy what to do about it: "name the columns with --columns FILE"
   * @param place file, row, column
   */
  constructor(kind: InputErrorKind, message: string, remedy = "", place: Place = {}) {
    super(message);
    this.kind = kind;
    this.remedy = remedy;
    this.place = place;
  }
}
