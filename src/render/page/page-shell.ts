import { createHash } from "node:crypto";
import { jsonForMarkup, shown } from "../../text/escape.js";

export interface PageParts {
  readonly title: string;
  readonly style: string;
  /** Code that makes the page more than a picture; the page is whole without it. */
  readonly script: string;
  /** What the script reads. */
  readonly data: unknown;
  /** Markup of the body. */
  readonly body: string;
}

/**
 * One HTML file that asks for nothing: its policy forbids every network request, every script and style but the
 * two it carries (by their digests), forms and base addresses.
 */
export function pageShell({ title, style, script, data, body }: PageParts): string {
  const policy = [
    "default-src 'none'",
    "img-src data:",
    `style-src '${digest(style)}'`,
    `script-src '${digest(script)}'`,
    "base-uri 'none'",
    "form-action 'none'",
  ].join("; ");
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="no-referrer">
<title>${shown(title, 160)}</title>
<link rel="icon" href="data:,">
<style>${style}</style>
</head>
<body>
${body}
<script type="application/json" id="chart-data">${jsonForMarkup(data)}</script>
<script>${script}</script>
</body>
</html>
`;
}

function digest(text: string): string {
  return "sha256-" + createHash("sha256").update(text, "utf8").digest("base64");
}
