import type { QualityLevel } from "../result.js";

/** Grades a number that is better when larger. */
export function below(value: number, fail: number, warn: number): QualityLevel {
  if (value < fail) return "fail";
  return value < warn ? "warn" : "ok";
}

/** Grades a number that is better when smaller. */
export function above(value: number, fail: number, warn: number): QualityLevel {
  if (value > fail) return "fail";
  return value > warn ? "warn" : "ok";
}
