const WIDTH = 80;

/**
 * Text broken into lines of at most `width` characters at spaces; a longer word stands alone.
 *
 * @example wrap("one two three", 8) // ["one two", "three"]
 */
export function wrap(text: string, width = WIDTH): string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(/\s+/)) {
    if (line !== "" && line.length + 1 + word.length > width) {
      lines.push(line);
      line = word;
    } else {
      line = line === "" ? word : `${line} ${word}`;
    }
  }
  return [...lines, line];
}

/** A paragraph of at most 80 columns. */
export function paragraph(text: string): string {
  return wrap(text).join("\n");
}

/** An entry of a list, its later lines set in; with a number where order matters. */
export function bullet(text: string, number?: number): string {
  const mark = number === undefined ? "- " : `${number}. `;
  const [first, ...rest] = wrap(text, WIDTH - mark.length - 2);
  const indent = " ".repeat(mark.length + 2);
  return [`  ${mark}${first}`, ...rest.map((line) => indent + line)].join("\n");
}
