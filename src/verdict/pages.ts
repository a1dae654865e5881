import { BUILD_PAGES } from "./pages/build.js";
import { CARRIED_PAGES } from "./pages/carried.js";
import { LOG_PAGES } from "./pages/log.js";
import type { Page } from "./pages/page.js";

export type { Page, Step } from "./pages/page.js";

/** The page of every reason and every quality check, by its id. */
export const PAGES: Readonly<Record<string, Page>> = { ...BUILD_PAGES, ...CARRIED_PAGES, ...LOG_PAGES };
