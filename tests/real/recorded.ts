import { existsSync } from "node:fs";
import { fileURLToPath } from "node:url";

/**
 * Where the recorded data of others lie: beside the checkout, never inside it (licences differ). Tests that need a
 * file skip when it is absent, and their title says so.
 */
const FOLDER = new URL("../../../shared/real/", import.meta.url);

/** Path of a recorded file, and whether it is there. */
export function recorded(name: string): {
  readonly path: string;
  readonly absent: boolean;
  readonly note: string;
} {
  const path = fileURLToPath(new URL(name, FOLDER));
  const absent = !existsSync(path);
  return { path, absent, note: absent ? ` (skipped: ${name} is not beside the checkout)` : "" };
}
