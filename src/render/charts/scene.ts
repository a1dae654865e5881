/**
 * A drawing as the scene graph of the Vega libraries: groups of marks, marks of items, all in the drawing's units.
 * Only the drawing half of those libraries is used: what they add for live data costs more time than all else here.
 */
export interface Scene {
  readonly width: number;
  readonly height: number;
  readonly background: string;
  readonly marks: readonly SceneMark[];
}

export type MarkType = "group" | "line" | "area" | "rect" | "rule" | "symbol" | "text" | "path" | "image";

/** Items of one kind. `name` and `role` become classes in the SVG: page script and style sheet find marks by them. */
export interface SceneMark {
  readonly marktype: MarkType;
  readonly name?: string;
  readonly role?: string;
  /** Cut at the edges of the group that the mark stands in. */
  readonly clip?: boolean;
  readonly items: readonly SceneItem[];
}

/** One item with its properties, as the library names them; a group's own marks are under `items`. */
export type SceneItem = Readonly<Record<string, unknown>>;

/** A group of one item. */
export function group(
  name: string,
  item: SceneItem & { readonly items: readonly SceneMark[] },
  role?: string,
): SceneMark {
  return { marktype: "group", name, ...(role === undefined ? {} : { role }), items: [item] };
}
