/** Scripts and signs that terminals draw two columns wide (Unicode Standard Annex 11, East Asian Width W and F). */
const WIDE =
  /[\u1100-\u115f\u2e80-\u303e\u3041-\u33ff\u3400-\u4dbf\u4e00-\u9fff\ua000-\ua4cf\uac00-\ud7a3\uf900-\ufaff\ufe30-\ufe6f\uff00-\uff60\uffe0-\uffe6]|[\u{1f000}-\u{1faff}\u{20000}-\u{3fffd}]/u;

/** Columns that one line of plain text takes in a terminal. */
export function columnsOf(text: string): number {
  let columns = 0;
  for (const c of text) columns += /\p{M}/u.test(c) ? 0 : WIDE.test(c) ? 2 : 1;
  return columns;
}

/** Cuts text to at most `columns`; what was cut shows as an ellipsis at the end, or at the start. */
export function fitColumns(text: string, columns: number, cut: "end" | "start" = "end"): string {
  if (columnsOf(text) <= columns) return text;
  const letters = Array.from(text);
  const keep: string[] = [];
  let used = 1;
  while (letters.length > 0) {
    const c = cut === "end" ? letters.shift()! : letters.pop()!;
    used += columnsOf(c);
    if (used > columns) break;
    keep.push(c);
  }
  return cut === "end" ? keep.join("") + "…" : "…" + keep.reverse().join("");
}

/** Fills a cell with blanks on the right to `columns`, cutting what is longer. */
export function cell(text: string, columns: number): string {
  const cut = fitColumns(text, columns);
  return cut + " ".repeat(Math.max(0, columns - columnsOf(cut)));
}

/** Breaks text at blanks into lines of at most `columns`; words that are longer than a line are cut. */
export function wrapColumns(text: string, columns: number): string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(" ").filter((w) => w !== "")) {
    const joined = line === "" ? word : `${line} ${word}`;
    if (columnsOf(joined) <= columns) {
      line = joined;
      continue;
    }
    if (line !== "") lines.push(line);
    line = fitColumns(word, columns);
  }
  if (line !== "") lines.push(line);
  return lines;
}
