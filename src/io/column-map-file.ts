import { readFileSync } from "node:fs";
import { basename } from "node:path";
import { type ColumnMap, parseColumnMap } from "../decode/column-map.js";
import { InputError } from "../errors.js";

/**
 * Reads a column map (schema/column-map.schema.json).
 *
 * @throws {InputError} "absent" when it cannot be read, "content" when it is not a column map
 */
export async function readColumnMapFile(path: string): Promise<ColumnMap> {
  const file = basename(path);
  let text: string;
  try {
    text = readFileSync(path, "utf8");
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code ?? "unknown reason";
    throw new InputError(
      "absent",
      `column map cannot be read (${code})`,
      "check the path given to --columns",
      { file },
    );
  }
  return await parseColumnMap(text, file);
}
