import { InputError, type Place } from "../errors.js";
import { cleanText } from "../text/clean-text.js";

function placeText(place: Place): string {
  const parts = [
    place.file === undefined ? "" : cleanText(place.file, 80),
    place.row === undefined ? "" : `row ${place.row}`,
    place.column === undefined ? "" : `column ${cleanText(String(place.column), 60)}`,
  ].filter((part) => part !== "");
  return parts.length === 0 ? "" : `${parts.join(", ")}: `;
}

/**
 * One line for an error: where, what is wrong, what to do. A defect says that it is one.
 *
 * @example errorLine(new InputError("content", "no gyro column found", "name it with --columns FILE", { file: "a.csv" }))
 * // "quietspar: a.csv: no gyro column found; name it with --columns FILE"
 */
export function errorLine(error: unknown): string {
  if (error instanceof InputError) {
    const remedy = error.remedy === "" ? "" : `; ${cleanText(error.remedy, 400)}`;
    return `quietspar: ${placeText(error.place)}${cleanText(error.message, 400)}${remedy}`;
  }
  const message = error instanceof Error ? error.message : String(error);
  return `quietspar: internal error (a defect of the program): ${cleanText(message, 300)}; --verbose shows where`;
}
