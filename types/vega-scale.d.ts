/** The part of vega-scale that this program uses; the package ships no types. */
declare module "vega-scale" {
  /** A colour scheme by name: a continuous one is a function from 0..1 to a CSS colour. */
  export function scheme(name: string): (share: number) => string;
}
