import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["tests/**/*.test.ts"],
    testTimeout: 60_000,
    hookTimeout: 120_000,
    reporters: process.env["CI"] ? ["default", "json"] : ["default"],
    outputFile: { json: "artefacts/vitest.json" },
  },
});
