import type { Decibel, Hertz, Interval } from "../units.js";
import type { LevelChange } from "./comparison.js";

/** Numbers as the comparison's sentences say them. */

/** "2.1 dB"; the sign is for words to say. */
export function decibels(db: Decibel): string {
  return `${Math.abs(db).toFixed(1)} dB`;
}

/** "1000 Hz", "81.3 Hz" */
export function hertz(hz: Hertz): string {
  return `${hz >= 200 ? hz.toFixed(0) : hz.toFixed(1)} Hz`;
}

/** "+1.2 to +3.0" */
export function signedRange([low, high]: Interval, decimals = 1): string {
  const signed = (v: number): string => `${v < 0 ? "−" : "+"}${Math.abs(v).toFixed(decimals)}`;
  return `${signed(low)} to ${signed(high)}`;
}

/** "2.1 dB louder (+1.2 to +3.0)" */
export function louder({ ratioDb, ci95Db }: Pick<LevelChange, "ratioDb" | "ci95Db">): string {
  return `${decibels(ratioDb)} ${ratioDb > 0 ? "louder" : "quieter"} (${signedRange(ci95Db)})`;
}

/** "a, b and c", at most `most` of them named. */
export function list(items: readonly string[], most = 3): string {
  const named = items.length > most ? [...items.slice(0, most), `${items.length - most} more`] : [...items];
  return named.length < 2 ? named.join("") : `${named.slice(0, -1).join(", ")} and ${named.at(-1)}`;
}
