import type { Mode } from "../modes/mode.js";
import type { AxisSummary, Result } from "../result.js";
import { figure, listed, modeHzWithInterval, percent, quantity, range, UNKNOWN } from "./format.js";

/** Sentences that terminal and page share. */

/** "62.4 Hz (61.9 to 62.9), damping 1.8 %, on roll and pitch" */
export function modeLine(mode: Mode): string {
  const axes = listed(mode.axes.map((a) => a.axis));
  return `${modeHzWithInterval(mode)}, damping ${percent(mode.dampingRatio)}, on ${axes}`;
}

/** The first mode, or why there is none. */
export function firstModeLine(result: Result): string {
  if (result.firstMode !== null) return modeLine(result.firstMode);
  const hidden = result.modesUnobservable.length;
  if (hidden === 0) return "none found in the part of the spectrum that this log shows";
  return `none found; ${hidden} ${hidden === 1 ? "band" : "bands"} could not be seen, so a mode there is unknown, not absent`;
}

/** What is known of rotor speed. */
export function rotorLine(result: Result): string {
  const { rotor } = result;
  if (rotor.source === "none" || rotor.bandHz === null)
    return "speed unknown: no rpm, and none could be inferred";
  const from =
    rotor.source === "telemetry" ? "from telemetry" : `inferred, confidence ${figure(rotor.confidence, 2)}`;
  const once = `${range(rotor.bandHz, "Hz")} (median ${figure(rotor.medianHz)}), ${from}`;
  if (rotor.blades === null) return once;
  const [lo, hi] = rotor.bandHz;
  return `${once}; blade pass ${range([lo * rotor.blades, hi * rotor.blades], "Hz")}`;
}

/** The quiet band of an axis in two cells: where it lies, how much shakes in it. */
export function quietBandCells(axis: AxisSummary): [where: string, level: string] {
  const { fromHz, toHz, rmsDps } = axis.quietBand;
  if (fromHz === null || toHz === null) return [UNKNOWN, UNKNOWN];
  if (toHz <= fromHz) return ["no such band", UNKNOWN];
  return [range([fromHz, toHz], "Hz"), quantity(rmsDps, "deg/s")];
}

export function strongestLineCell(axis: AxisSummary): string {
  const line = axis.strongestLine;
  return line === null ? "none" : `${figure(line.hz)} Hz, ${figure(line.levelDb, 2)} dB, ${line.what}`;
}

/** The band in which the D-term carries most, "0.81 in 80 to 200 Hz"; the unit is the log's own. */
export function dtermCell(axis: AxisSummary): string {
  const known = axis.bands.filter((b) => b.dterm !== null);
  if (known.length === 0) return UNKNOWN;
  const worst = known.reduce((a, b) => (b.dterm! > a.dterm! ? b : a));
  return `${figure(worst.dterm)} in ${range([worst.fromHz, worst.toHz], "Hz", 2)}`;
}
