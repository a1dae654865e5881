import { readFileSync } from "node:fs";
import { basename } from "node:path";
import type { Craft } from "../craft.js";
import { InputError } from "../errors.js";
import { cleanText } from "../text/clean-text.js";
import { schemaErrors } from "./schema.js";

/** A craft file as read: the entries understood, and the names of those that are not known. */
export interface CraftFile {
  readonly craft: Craft;
  readonly unknown: readonly string[];
}

/**
 * Reads a craft file (schema/craft.schema.json).
 *
 * @throws {InputError} "absent" when it cannot be read, "content" when it is not JSON or an entry is out of range
 */
export async function readCraftFile(path: string): Promise<CraftFile> {
  const file = basename(path);
  const value = parseJson(readText(path, file), file);
  const errors = await schemaErrors("craft", value);
  if (errors.length > 0) {
    throw new InputError(
      "content",
      `craft file: ${errors[0]}`,
      "see schema/craft.schema.json for the entries",
      { file },
    );
  }
  return splitKnown(value as Record<string, unknown>);
}

function readText(path: string, file: string): string {
  try {
    return readFileSync(path, "utf8");
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code ?? "unknown reason";
    throw new InputError("absent", `craft file cannot be read (${code})`, "check the path given to --craft", {
      file,
    });
  }
}

/** JSON text to a value; a mistake in it is the user's to mend, not a defect. */
export function parseJson(text: string, file: string): unknown {
  try {
    return JSON.parse(text.replace(/^\uFEFF/, ""));
  } catch (error) {
    throw new InputError(
      "content",
      `not valid JSON: ${cleanText((error as Error).message, 160)}`,
      "mend the file",
      { file },
    );
  }
}

const KNOWN: ReadonlySet<string> = new Set([
  "name",
  "propellerInch",
  "pitchInch",
  "blades",
  "motorPoles",
  "rotors",
  "cells",
  "kv",
  "massKg",
  "payloadKg",
  "camera",
  "loopRateHz",
  "crossoverHz",
  "dtermFullScale",
  "limits",
]);

function splitKnown(value: Record<string, unknown>): CraftFile {
  const entries = Object.entries(value).filter(([key]) => !key.startsWith("$"));
  const craft = Object.fromEntries(entries.filter(([key]) => KNOWN.has(key)));
  if (typeof craft["name"] === "string") craft["name"] = cleanText(craft["name"], 80);
  return {
    craft: craft as Craft,
    unknown: entries
      .map(([key]) => key)
      .filter((key) => !KNOWN.has(key))
      .map((key) => cleanText(key, 40)),
  };
}
