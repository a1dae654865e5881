import { createRequire } from "node:module";
import { C } from "./theme.js";

/** Family name of the face that comes with the package, so that a picture looks the same on every machine. */
const FACE = "DejaVu Sans Condensed";

/**
 * A drawing as a PNG picture, twice its size in pixels.
 *
 * @param svg a drawing of `renderCharts`
 */
export async function renderPng(svg: string, zoom = 2): Promise<Uint8Array> {
  const { Resvg } = await import("@resvg/resvg-js");
  const find = createRequire(import.meta.url);
  const file = (name: string): string => find.resolve(`dejavu-fonts-ttf/ttf/${name}.ttf`);
  const picture = new Resvg(svg, {
    background: C.paper,
    fitTo: { mode: "zoom", value: zoom },
    imageRendering: 1,
    font: {
      loadSystemFonts: false,
      fontFiles: [file("DejaVuSansCondensed"), file("DejaVuSansCondensed-Bold")],
      defaultFontFamily: FACE,
      sansSerifFamily: FACE,
    },
  });
  return picture.render().asPng();
}
