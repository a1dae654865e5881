import { clientPlots } from "./client-plots.js";
import { clientReadout } from "./client-readout.js";
import { clientZoom } from "./client-zoom.js";
import { pageClient } from "./page-client.js";

const PARTS = { clientPlots, clientReadout, clientZoom };

/**
 * The page's script: the source text of a few functions, run when the page has loaded. Some compilers that run
 * TypeScript directly wrap named functions in a helper called `__name`; here it does nothing.
 */
export const PAGE_SCRIPT = `(()=>{const __name=(f)=>f;(${pageClient.toString()})({${Object.entries(PARTS)
  .map(([name, part]) => `${name}:${part.toString()}`)
  .join(",")}})})()`;
