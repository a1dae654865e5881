/** The part of vega-scenegraph that this program uses; the package ships no types. */
declare module "vega-scenegraph" {
  /** Readies a scene for drawing: links items to their marks and groups and measures them. */
  export function sceneFromJSON(scene: object): object;

  /** Draws a scene as SVG text. */
  export class SVGStringRenderer {
    initialize(element: null, width: number, height: number, origin: readonly [number, number]): this;
    background(colour: string): this;
    render(scene: object): this;
    svg(): string;
  }

  export const textMetrics: {
    width: (item: { readonly fontSize?: number }, text: string) => number;
  };
}
