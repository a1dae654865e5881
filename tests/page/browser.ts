import { existsSync } from "node:fs";
import { type Browser, chromium } from "playwright-core";

/** Where a Chromium lies; the tests of the page skip, and say so, where there is none. */
export const CHROMIUM = process.env["CHROMIUM"] ?? "/usr/bin/chromium";
export const noBrowser = !existsSync(CHROMIUM);
export const note = noBrowser ? " (skipped: no Chromium here)" : "";

/** A browser that makes no connection of its own. */
export function openBrowser(): Promise<Browser> {
  return chromium.launch({
    executablePath: CHROMIUM,
    args: [
      "--headless",
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });
}
