import { createRequire } from "node:module";

/** Schemas that the package ships. */
export type SchemaName = "craft" | "result" | "column-map" | "comparison";

const load = createRequire(import.meta.url);

/**
 * Checks a value against a shipped JSON Schema (draft 2020-12).
 *
 * @returns what is wrong, one sentence each; empty when valid
 */
export async function schemaErrors(name: SchemaName, value: unknown): Promise<string[]> {
  const { Ajv2020 } = await import("ajv/dist/2020.js");
  const ajv = new Ajv2020({ allErrors: true, strict: true, strictRequired: false, allowUnionTypes: true });
  const validate = ajv.compile(load(`../../schema/${name}.schema.json`) as object);
  if (validate(value)) return [];
  return (validate.errors ?? []).map(
    (e) => `${e.instancePath === "" ? "the file" : e.instancePath.slice(1)} ${e.message ?? "is wrong"}`,
  );
}
