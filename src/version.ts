import { createRequire } from "node:module";

/** Version of the program, from the package's own description. */
export const VERSION: string = (createRequire(import.meta.url)("../package.json") as { version: string })
  .version;

/** Version of the result's shape; a removed or re-meant field raises the first number. */
export const SCHEMA_VERSION = "1.0.0";
