import { pageClient } from "./page-client.js";

/** The page's script: the source text of one function, run when the page has loaded. */
export const PAGE_SCRIPT = `(${pageClient.toString()})()`;
