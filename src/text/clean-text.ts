/**
 * Makes text from a log harmless to show anywhere: one line, no terminal escapes, no control or
 * direction-changing characters, bounded length. Markup is escaped where the text is written, not here.
 *
 * @param text anything read from a file: a header, a note, a file name
 * @param limit longest result in characters, ≥ 1; longer text ends in "…"
 * @example cleanText("gyro\u001b[31m\nx") // "gyro[31m x"
 */
export function cleanText(text: string, limit = 120): string {
  const visible = text
    // An unbounded text must not cost unbounded time: nothing past this can show anyway.
    .slice(0, limit * 8)
    .replace(/[\s\u0085\u2028\u2029]+/gu, " ")
    // Cc control, Cf format (direction marks, zero width), Cs lone surrogates, Co private use, Cn unassigned.
    .replace(/[\p{Cc}\p{Cf}\p{Cs}\p{Co}\p{Cn}]/gu, "")
    .trim();
  const letters = Array.from(visible);
  return letters.length <= limit ? visible : letters.slice(0, limit - 1).join("") + "…";
}
