import { InputError } from "../errors.js";

/**
 * Writes text to standard output and waits until it is out; a closed pipe or a full disk is an output error.
 *
 * @throws {InputError} "output"
 */
export function print(text: string): Promise<void> {
  return new Promise((resolve, reject) => {
    const fail = (error: NodeJS.ErrnoException): void =>
      reject(new InputError("output", `standard output cannot be written (${error.code ?? error.message})`));
    process.stdout.once("error", fail);
    process.stdout.write(text, (error) => {
      // After a failure the stream also emits "error": the listener stays and the rejection happens once.
      if (error) return fail(error as NodeJS.ErrnoException);
      process.stdout.off("error", fail);
      resolve();
    });
  });
}

/** Whether to colour: chalk's own rules (terminal, NO_COLOR, FORCE_COLOR) decide. */
export async function useColour(): Promise<boolean> {
  if (process.env["NO_COLOR"] !== undefined && process.env["NO_COLOR"] !== "") return false;
  const { supportsColor } = await import("chalk");
  return supportsColor !== false;
}
