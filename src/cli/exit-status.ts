import { InputError, type InputErrorKind } from "../errors.js";
import type { Call } from "../result.js";

/** Every exit status of the program, in one place. Node's own status 1 on a crash never reaches the shell. */
export const EXIT = {
  ok: 0,
  loud: 1,
  usage: 2,
  undetermined: 3,
  content: 65,
  absent: 66,
  internal: 70,
  output: 74,
  interrupt: 130,
  termination: 143,
} as const;

export type ExitStatus = (typeof EXIT)[keyof typeof EXIT];

const STATUS_OF_ERROR: Readonly<Record<InputErrorKind, ExitStatus>> = {
  usage: EXIT.usage,
  content: EXIT.content,
  absent: EXIT.absent,
  output: EXIT.output,
};

/**
 * Status for a call.
 *
 * @param strict marginal counts as loud
 */
export function statusOfCall(call: Call, strict: boolean): ExitStatus {
  if (call === "undetermined") return EXIT.undetermined;
  if (call === "loud" || (call === "marginal" && strict)) return EXIT.loud;
  return EXIT.ok;
}

/** Status for anything that was thrown: what the user can mend by its kind, all else internal. */
export function statusOfError(error: unknown): ExitStatus {
  return error instanceof InputError ? STATUS_OF_ERROR[error.kind] : EXIT.internal;
}
