import type { Result } from "../../result.js";
import { AXES } from "../../units.js";
import { figure, range, trimmed } from "../format.js";
import { anything, paragraph, section, table } from "./markup.js";

type Fields = Readonly<Record<string, unknown>>;

/** What a camera fixed hard to the frame would see: a table when the shape is the known one, else as it is. */
export function footageSection(result: Result): string {
  const { footage } = result;
  if (footage === null || footage === undefined) return "";
  const known = isFields(footage) && isFields(footage["axes"]) && isFields(footage["lens"]);
  return section("footage", "What a camera would see", known ? tables(footage) : anything(footage));
}

function tables(footage: Fields): string {
  const lens = footage["lens"] as Fields;
  const axes = footage["axes"] as Fields;
  const whose = lens["from"] === "craft" ? "the camera of the craft file" : "a reference lens";
  const rows = AXES.map((axis) => {
    const seen = axes[axis];
    if (!isFields(seen)) return [axis, "unknown", "unknown", ""];
    return [axis, measured(seen["rmsPx"]), interval(seen["ci95Px"]), loudest(seen["bands"])];
  });
  const head = ["axis", "image movement, px RMS", "95 % interval", "most of it"];
  return (
    paragraph(
      `Movement of the image above ${number(footage["fromHz"])} Hz, as ${whose} (${number(lens["focalPx"], 4)} px focal length) would see it, fixed hard to the frame: no isolator, no gimbal.`,
    ) + table({ head, rows }, "Image movement per axis")
  );
}

/** The band that moves the image most. */
function loudest(bands: unknown): string {
  const known = Array.isArray(bands)
    ? bands.filter(isFields).filter((b) => typeof b["rmsPx"] === "number")
    : [];
  if (known.length === 0) return "";
  const most = known.reduce((a, b) => ((b["rmsPx"] as number) > (a["rmsPx"] as number) ? b : a));
  const where = range([most["fromHz"] as number, most["toHz"] as number], "Hz", 2);
  return `${measured(most["rmsPx"], 2)} px in ${where}`;
}

const isFields = (value: unknown): value is Fields =>
  typeof value === "object" && value !== null && !Array.isArray(value);
const measured = (value: unknown, digits = 3): string =>
  figure(typeof value === "number" ? value : null, digits);
const number = (value: unknown, digits = 3): string =>
  trimmed(typeof value === "number" ? value : null, digits);

function interval(value: unknown): string {
  return Array.isArray(value) ? range([Number(value[0]), Number(value[1])], "") : "unknown";
}
