import { expect, test } from "vitest";
import { cleanText } from "../../src/text/clean-text.js";

test("cleanText(text) drops terminal escapes and keeps one line", () => {
  expect(cleanText("gyro\u001b[31m\nx")).toBe("gyro[31m x");
  expect(cleanText("a\u0007\u009bb\r\n\tc")).toBe("ab c");
});

test("cleanText(text) drops marks that turn the reading direction", () => {
  expect(cleanText("roll\u202Egnp.exe\u200B\u2066")).toBe("rollgnp.exe");
});

test("cleanText(text, limit) never gives more than limit characters", () => {
  expect(Array.from(cleanText("x".repeat(10_000), 50)).length).toBe(50);
  expect(cleanText("short", 50)).toBe("short");
});
